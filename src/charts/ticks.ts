import type { Tick } from "./frame.ts";

/** Ticks for a share 0 … top (0…1 scale), written in per cent without the sign, which stands in the axis name. */
export function percentTicks(top: number, room: number): Tick[] {
  const step = [0.1, 0.2, 0.25, 0.5].find((step) => (room * step) / top >= 30) ?? 0.5;
  const ticks: Tick[] = [];
  for (let i = 0; i * step <= top + 1e-9; i++)
    ticks.push({ at: i * step, text: `${Math.round(i * step * 100)}` });
  return ticks;
}

/** Wavelength ticks on round hundreds, or fifties where there is room. */
export function wavelengthTicks(from: number, to: number, room: number): Tick[] {
  const step = (room * 50) / (to - from) >= 60 ? 50 : 100;
  const ticks: Tick[] = [];
  for (let at = Math.ceil(from / step) * step; at <= to; at += step) ticks.push({ at, text: `${at}` });
  return ticks;
}

const stops = [0.5, 1, 2, 3, 5, 8, 12, 16, 20, 25, 30, 40, 50, 60, 80, 100, 130, 160, 200];

/** A steady top for a colour-difference axis: it moves in steps, so that a chart under a moving slider stays calm. */
export function differenceTop(largest: number): number {
  return stops.find((stop) => stop >= largest && stop >= 3) ?? Math.ceil(largest / 100) * 100;
}

/** Ticks of a colour-difference axis whose scale is widened near zero. */
export function differenceTicks(top: number): Tick[] {
  const wanted =
    top <= 3 ? [0, 0.5, 1, 2, 3] : top <= 8 ? [0, 1, 2, 3, 5, 8] : [0, 1, 3, 5, 10, 20, 40, 80, 160];
  return wanted.filter((at) => at <= top).map((at) => ({ at, text: `${at}` }));
}

/** Ticks on round numbers (1, 2, 5 · 10ⁿ), about `count` of them. */
export function roundTicks(from: number, to: number, count: number): Tick[] {
  const rough = (to - from) / Math.max(1, count);
  const power = 10 ** Math.floor(Math.log10(rough));
  const step =
    [1, 2, 5, 10].map((factor) => factor * power).find((size) => size >= rough - 1e-12) ?? 10 * power;
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const ticks: Tick[] = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= to + step * 1e-9; i++) {
    ticks.push({ at: i * step, text: (i * step).toFixed(decimals).replace("-", "−") });
  }
  return ticks;
}

/** A tick at each power of ten. */
export function decadeTicks(from: number, to: number): Tick[] {
  const ticks: Tick[] = [];
  for (let power = Math.round(Math.log10(from)); power <= Math.round(Math.log10(to)); power++) {
    const at = 10 ** power;
    ticks.push({ at, text: power >= 0 ? `${at}` : at.toFixed(-power) });
  }
  return ticks;
}
