import { quantiles } from "../fit/quantiles.ts";
import type { Compiled, Estimate } from "./compiled.ts";
import { normalEquations, noSmoothness } from "./normalEquations.ts";

/** Fewest spare readings from which a noise is estimated rather than believed. */
const fewestSpare = 20;

/** Standardised residuals (predicted − measured)/σ with σ as stated, [i·readings + r]; 0 where there is no reading. */
export function standardisedResiduals(compiled: Compiled, estimate: Estimate): Float64Array {
  const residuals = new Float64Array(compiled.n * compiled.readings);
  const objective = { huber: Number.POSITIVE_INFINITY, noiseScale: 1, smoothness: noSmoothness };
  normalEquations(compiled, estimate, objective, undefined, residuals);
  return residuals;
}

/** Places [i·readings + r] of the values that count, film by film. */
function counted({ n, films, readings, firstReading, inverseSigma, used }: Compiled): number[] {
  const places: number[] = [];
  for (let f = 0; f < films; f++) {
    if (used[f] === 0) continue;
    for (let r = firstReading[f]; r < firstReading[f + 1]; r++) {
      for (let i = 0; i < n; i++) if (inverseSigma[i * readings + r] > 0) places.push(i * readings + r);
    }
  }
  return places;
}

/** Number of readings × wavelengths that count. */
export function countReadings(compiled: Compiled): number {
  return counted(compiled).length;
}

/** Residuals beyond this many standard deviations count as if they lay there. */
const clip = 2.5;

/** Mean of min(z², clip²) for normal z: 2Φ(c) − 1 − 2cφ(c) + 2c²(1 − Φ(c)) at c = 2.5. */
const clippedMean = 0.97757;

/** Root mean square of fitted − measured over all readings that count, in reflectance, from standardised residuals. */
export function rmsMisfit(compiled: Compiled, residuals: Float64Array): number {
  const places = counted(compiled);
  const sum = places.reduce((all, at) => all + (residuals[at] / compiled.inverseSigma[at]) ** 2, 0);
  return places.length === 0 ? 0 : Math.sqrt(sum / places.length);
}

/**
 * How many times larger than stated the noise of the readings is, from the residuals of a fit: their root mean square
 * with large ones clipped, corrected for the unknowns that were fitted. At least 0.2, so that readings without noise
 * do not claim certainty; 1 when too few readings are to spare.
 *
 * @param unknowns how many unknowns the readings had to settle
 * Source: Huber 1981, proposal 2 (scale with clipped residuals, consistent for the normal distribution).
 */
export function noiseScale(compiled: Compiled, residuals: Float64Array, unknowns: number): number {
  const squares = counted(compiled).map((at) => residuals[at] ** 2);
  const spare = squares.length - unknowns;
  if (spare < fewestSpare) return 1;
  // From above: the first value counts all residuals in full.
  let variance = squares.reduce((sum, square) => sum + square, 0) / spare;
  for (let pass = 0; pass < 30; pass++) {
    const most = clip * clip * variance;
    const next = squares.reduce((sum, square) => sum + Math.min(square, most), 0) / (clippedMean * spare);
    if (Math.abs(next - variance) < 1e-6 * variance) break;
    variance = next;
  }
  return Math.max(0.2, Math.sqrt(variance));
}

/** Median of some numbers; 0 of none. */
export function median(values: Iterable<number>): number {
  const sorted = Float64Array.from(values).sort();
  return sorted.length === 0 ? 0 : quantiles(sorted, [0.5])[0];
}
