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

/** Readings that count, and unknowns that they have to settle. */
export function countReadings(compiled: Compiled): { readings: number; unknowns: number } {
  const { n, films, readings, firstReading, inverseSigma, used, sharedOfFilm, sharedOfK2 } = compiled;
  let count = 0;
  let unknowns = 2 * n + (sharedOfK2 < 0 ? 0 : 1);
  for (let f = 0; f < films; f++) {
    if (used[f] === 0) continue;
    if (sharedOfFilm[f] >= 0) unknowns++;
    for (let r = firstReading[f]; r < firstReading[f + 1]; r++) {
      for (let i = 0; i < n; i++) if (inverseSigma[i * readings + r] > 0) count++;
    }
  }
  return { readings: count, unknowns };
}

/**
 * How many times larger than stated the noise of the readings is, from the residuals of a fit: the median absolute
 * residual, scaled to a normal distribution, corrected for the unknowns that were fitted. At least 0.2, so that
 * readings without noise do not claim certainty; 1 when too few readings are to spare.
 *
 * Source: scale from the median absolute deviation, e.g. Huber 1981 (factor 1.4826 for the normal distribution).
 */
export function noiseScale(compiled: Compiled, residuals: Float64Array): number {
  const { readings, unknowns } = countReadings(compiled);
  if (readings - unknowns < fewestSpare) return 1;
  const { n, firstReading, films, used, inverseSigma } = compiled;
  const sizes: number[] = [];
  for (let f = 0; f < films; f++) {
    if (used[f] === 0) continue;
    for (let r = firstReading[f]; r < firstReading[f + 1]; r++) {
      for (let i = 0; i < n; i++) {
        const at = i * compiled.readings + r;
        if (inverseSigma[at] > 0) sizes.push(Math.abs(residuals[at]));
      }
    }
  }
  return Math.max(0.2, 1.4826 * median(sizes) * Math.sqrt(readings / (readings - unknowns)));
}

/** Median of some numbers; 0 of none. */
export function median(values: Iterable<number>): number {
  const sorted = Float64Array.from(values).sort();
  const middle = sorted.length >> 1;
  if (sorted.length === 0) return 0;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}
