import { converter, differenceCiede2000 } from "culori";
import type { Component } from "../../src/coating/component.ts";
import type { TristimulusWeights } from "../../src/colour/weights.ts";

/**
 * The same physics written the plain way: fresh number arrays at every step, the printed formulas, culori for ΔE00.
 * A baseline for the bench and an independent slow method for tests.
 */

export const plainFilm = (K: number[], S: number[], X: number, Rg: number[]): number[] =>
  K.map((k, i) => {
    const s = S[i];
    if (X === 0) return Rg[i];
    const a = (s + k) / s;
    const b = Math.sqrt(a * a - 1);
    const coth = 1 / Math.tanh(b * s * X);
    return (1 - Rg[i] * (a - b * coth)) / (a - Rg[i] + b * coth);
  });

export const plainMix = (components: readonly Component[], volumes: number[]) => {
  const dry = components.map((component, j) => component.volumeSolids * volumes[j]);
  const total = dry.reduce((a, b) => a + b, 0);
  const of = (key: "absorption" | "scattering") =>
    Array.from(components[0][key], (_, i) =>
      components.reduce((sum, c, j) => sum + (c[key][i] * dry[j]) / total, 0),
    );
  return {
    K: of("absorption"),
    S: of("scattering"),
    volumeSolids: total / volumes.reduce((a, b) => a + b, 0),
  };
};

export const plainSeen = (R: number[], k1: number, k2: number, sheen: number): number[] =>
  R.map((r) => ((1 - k1) * (1 - k2) * r) / (1 - k2 * r) + sheen * k1);

export const plainLab = (R: number[], weights: TristimulusWeights): [number, number, number] => {
  const sum = (w: Float64Array) => R.reduce((total, r, i) => total + r * w[i], 0);
  const f = (t: number) => (t > 216 / 24389 ? Math.cbrt(t) : ((24389 / 27) * t + 16) / 116);
  const [x, y, z] = [sum(weights.x), sum(weights.y), sum(weights.z)].map((value, i) =>
    f(value / weights.white[i]),
  );
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
};

const ciede2000 = differenceCiede2000();
const toLab65 = converter("lab65");

/** CIEDE2000 through culori's colour objects. */
export const culoriDeltaE2000 = (p: ArrayLike<number>, q: ArrayLike<number>): number =>
  ciede2000(
    toLab65({ mode: "lab65", l: p[0], a: p[1], b: p[2] }),
    toLab65({ mode: "lab65", l: q[0], a: q[1], b: q[2] }),
  );
