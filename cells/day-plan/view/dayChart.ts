import type { ChartOptions, ChartSize, PatternName, PlotLibrary } from "../../../src/charts/chartTypes.ts";
import { hairline, ink } from "../../../src/charts/chrome.ts";
import { raw } from "../../../src/charts/frame.ts";
import { barMiddle, rowBars } from "../../../src/charts/rowBars.ts";
import { type Bar, clockText, withoutNights } from "../../../src/job/workPlan.ts";

interface DayChartData {
  /** names of the groups of parts, in the order of `Bar.group` */
  readonly groups: readonly string[];
  readonly bars: readonly Bar[];
  /** working minutes in a day */
  readonly dayLength: number;
  /** minutes after midnight at which the first day begins */
  readonly startOfDay: number;
  /** minutes of the clock at which the last gun is clean */
  readonly workEnds: number;
  /** colour of the layers, by name */
  readonly colours: ReadonlyMap<string, string>;
}

const kinds = [
  { kind: "coat", label: "coat (its own colour)", grey: "#9a9a9a", pattern: "none" },
  { kind: "flash-off", label: "flashes off", grey: "#f5f5f5", pattern: "dots" },
  { kind: "bench", label: "mixing, cleaning", grey: "#d0d0d0", pattern: "rising" },
  { kind: "cure", label: "cures", grey: "#f5f5f5", pattern: "level" },
] as const satisfies readonly { kind: Bar["kind"]; label: string; grey: string; pattern: PatternName }[];

/**
 * The day as bars: one row for the bench, one for each kind of part. Nights are left out; a line parts the days.
 * Curing runs on past the right edge.
 */
export function dayChart(Plot: PlotLibrary, data: DayChartData, size: ChartSize): ChartOptions {
  const { groups, dayLength, colours } = data;
  const at = (minutes: number) => withoutNights(minutes, dayLength);
  const last = Math.max(1, at(data.workEnds));
  const end = last * 1.06;
  const pieces = data.bars
    .map((bar) => {
      const { grey, pattern } = kinds.find(({ kind }) => kind === bar.kind)!;
      return {
        bar,
        row: bar.group === undefined ? 0 : bar.group + 1,
        from: Math.min(at(bar.start), end),
        to: Math.min(at(bar.end), end),
        fill: (bar.kind === "coat" && colours.get(bar.layer)) || grey,
        pattern,
        thinner: bar.kind === "flash-off" || bar.kind === "cure" ? 8 : 0,
      };
    })
    .filter(({ from, to }) => to > from);
  // Number of each coat within its layer, where the bar is wide enough, dark or light to stand out from it.
  const wideEnough = (14 * end) / (size.width - 44);
  const coats = pieces.filter(({ bar, from, to }) => bar.kind === "coat" && to - from >= wideEnough);
  const ticks = clockTicks(data, size.width - 44, last);
  const days = Array.from({ length: Math.floor((last - 1e-9) / dayLength) }, (_, i) => (i + 1) * dayLength);
  return rowBars(
    Plot,
    {
      x: {
        domain: [0, end],
        ticks: ticks.map(({ at }) => at),
        tickFormat: (_, i) => ticks[i].text,
        label: "Time of day",
      },
      rows: ["At the bench", ...groups].map((label) => ({ label })),
      pieces,
      key: kinds.map(({ label, grey, pattern }) => ({ label, fill: grey, pattern })),
      under: [
        Plot.gridX({ ticks: ticks.map(({ at }) => at), stroke: hairline, strokeOpacity: 1 }),
        Plot.ruleX(days, { stroke: ink, strokeWidth: 3 }),
      ],
      over: [
        Plot.text(coats, {
          x: ({ from, to }) => (from + to) / 2,
          y: ({ row }) => row + barMiddle,
          text: ({ bar }) => /\d+$/.exec(bar.label)?.[0] ?? "1",
          fill: raw(coats.map(({ fill }) => (isDark(fill) ? "#ffffff" : "#000000"))),
          fontWeight: "bold",
        }),
      ],
    },
    size,
  );
}

/** Whether white text reads better on a CSS colour (`#rrggbb` or `color(display-p3 r g b)`). */
function isDark(colour: string): boolean {
  const hex = /^#(..)(..)(..)$/.exec(colour);
  const rgb = hex
    ? hex.slice(1).map((part) => Number.parseInt(part, 16) / 255)
    : (colour.match(/[\d.]+(?=[\s)])/g) ?? []).slice(-3).map(Number);
  if (rgb.length < 3) return false;
  // Relative luminance; 0.18 lies where black and white text are equally far from the ground (WCAG 2).
  const [r, g, b] = rgb.map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b < 0.18;
}

/** Ticks on full hours of the clock, as many as there is room for. */
function clockTicks({ startOfDay, dayLength }: DayChartData, room: number, last: number) {
  const most = Math.max(2, Math.floor(room / 64));
  const step =
    [30, 60, 120, 240, 480, 720].find((minutes) => last / minutes <= most) ??
    Math.ceil(last / most / 720) * 720;
  const ticks: { at: number; text: string }[] = [];
  for (let day = 0; day * dayLength <= last; day++) {
    const first = Math.ceil(startOfDay / step) * step - startOfDay;
    for (let k = 0; first + k * step <= dayLength; k++) {
      const minute = first + k * step;
      // The evening is the next morning, but for the last.
      if (minute === dayLength && day * dayLength + minute < last) break;
      const at = day * dayLength + minute;
      if (at > last * 1.04) break;
      ticks.push({ at, text: clockText(startOfDay, minute).slice(0, 5) });
    }
  }
  return ticks;
}
