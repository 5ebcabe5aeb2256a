import type { CalibrationProblem, Drawdown, Ground, Reading } from "./problem.ts";

/** Why the two readings of a drawdown cannot be those of one film. */
interface Contradiction {
  readonly code: "white-below-black" | "not-one-film";
  readonly text: string;
}

/** Grounds must differ by this much on average to serve as black and white. */
export const leastContrast = 0.15;

/** A film contradicts itself when more than this share of its wavelengths do. */
const contradictory = 0.2;

/** What must hold for a difference to be more than noise, in standard deviations. */
const beyondNoise = 4;

/**
 * Whether the readings over the darkest and the lightest ground can come from one film: it must not be darker over
 * white, not lighter over white than a film without absorption, not darker over black than a film without scattering.
 *
 * @returns undefined when they can, or when there are no two grounds to compare
 */
export function contradictionOf(drawdown: Drawdown, problem: CalibrationProblem): Contradiction | undefined {
  const { label, readings, thickness } = drawdown;
  const level = ({ ground }: Reading): number => mean(problem.grounds[ground].reflectance);
  const sorted = [...readings].sort((a, b) => level(a) - level(b));
  const dark = sorted[0];
  const light = sorted[sorted.length - 1];
  if (level(light) - level(dark) < leastContrast || thickness.kind === "opaque") return undefined;
  const names = { dark: problem.grounds[dark.ground].name, light: problem.grounds[light.ground].name };
  const { counted, darker, fall, tooLight, tooDark } = faultsOf(dark, light, problem);
  const limit = contradictory * counted;
  if (darker > limit) {
    return {
      code: "white-below-black",
      text:
        `${label}: it reads darker over ${names.light} than over ${names.dark} (by ${(fall / darker).toFixed(3)} on average ` +
        `at ${darker} of ${counted} wavelengths), which no film does: the two readings were probably exchanged. It is set aside.`,
    };
  }
  if (tooLight + tooDark <= limit) return undefined;
  const other = (reading: Reading): Reading => ({
    ...reading,
    specular: reading.specular === "included" ? "excluded" : "included",
  });
  const flipped = faultsOf(other(dark), other(light), problem);
  const mends = flipped.darker + flipped.tooLight + flipped.tooDark < 0.25 * limit;
  const cause = mends
    ? `They would agree with the specular part ${other(dark).specular}: it was probably marked wrongly.`
    : "Different thickness on the two halves, another card, or a mixed-up file.";
  return {
    code: "not-one-film",
    text:
      `${label}: the two readings cannot come from one film: at ${tooLight + tooDark} of ${counted} wavelengths it is ` +
      `${tooLight >= tooDark ? `too light over ${names.light}` : `too dark over ${names.dark}`} for the other reading. ` +
      `${cause} It is set aside.`,
  };
}

interface Faults {
  counted: number;
  /** wavelengths darker over the light ground, and the sum of the falls */
  darker: number;
  fall: number;
  tooLight: number;
  tooDark: number;
}

function faultsOf(dark: Reading, light: Reading, { grounds, surface }: CalibrationProblem): Faults {
  const k1 = surface.externalReflection;
  const k2 = surface.internalReflection;
  const through = (1 - k1) * (1 - k2);
  const internal = (value: number, mode: Ground["mode"]): number => {
    if (mode === "internal") return value;
    const left = mode === "included" ? value - k1 : value;
    return left / Math.max(through + k2 * left, 1e-3);
  };
  const ofGround = ({ reflectance, mode }: Ground, i: number): number =>
    Math.max(0, Math.min(1, internal(reflectance[i], mode)));
  const faults: Faults = { counted: 0, darker: 0, fall: 0, tooLight: 0, tooDark: 0 };
  for (let i = 0; i < dark.reflectance.length; i++) {
    const sigma = Math.hypot(dark.sigma[i], light.sigma[i]);
    if (!Number.isFinite(sigma)) continue;
    faults.counted++;
    const black = ofGround(grounds[dark.ground], i);
    const white = ofGround(grounds[light.ground], i);
    const Rb = internal(dark.reflectance[i], dark.specular);
    const Rw = internal(light.reflectance[i], light.specular);
    const noise = (beyondNoise * sigma * (1 - k2 * Rw) ** 2) / through + 0.002;
    if (Rw < Rb - noise) {
      faults.darker++;
      faults.fall += Rb - Rw;
      continue;
    }
    // Of all films with this reflectance over black the one without absorption is lightest over white (T = 1 − R0),
    // and the one without scattering is darkest over black: Rb/Rw = black/white (Kubelka 1948).
    const R0 = (Rb * white - Rw * black) / (white - black + (Rb - Rw) * black * white);
    const most = R0 + ((1 - R0) ** 2 * white) / (1 - R0 * white);
    if (R0 >= 0 && Rw > most + noise) faults.tooLight++;
    if (Rb < (Rw * black) / Math.max(white, 0.05) - noise) faults.tooDark++;
  }
  return faults;
}

export function mean(values: Float64Array): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}
