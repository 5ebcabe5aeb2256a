import type { CalibratedCurves } from "../../src/calibration/result.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";

/** K and S drawn from their joint distribution: [draw·n + wavelength]. */
export interface CoefficientDraws {
  readonly count: number;
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
}

/**
 * Draws of K and S with their correlations along the spectrum and with each other: what the uncertainty of a recipe or
 * a sweep is computed from. Values below 0 are taken as 0.
 *
 * @param seed the same seed gives the same draws
 */
export function drawCoefficients(curves: CalibratedCurves, count: number, seed: number): CoefficientDraws {
  const { absorption, scattering, covariance } = curves;
  const n = absorption.length;
  const size = 2 * n;
  const factor = choleskyOf(covariance, size);
  const random = seededRandom(seed);
  const draws = { count, absorption: new Float64Array(count * n), scattering: new Float64Array(count * n) };
  const z = new Float64Array(size);
  for (let k = 0; k < count; k++) {
    for (let a = 0; a < size; a++) z[a] = normal(random);
    for (let a = 0; a < size; a++) {
      let value = a < n ? absorption[a] : scattering[a - n];
      for (let b = 0; b <= a; b++) value += factor[a * size + b] * z[b];
      if (a < n) draws.absorption[k * n + a] = Math.max(0, value);
      else draws.scattering[k * n + a - n] = Math.max(0, value);
    }
  }
  return draws;
}

/** Lower triangle L with L·Lᵀ = matrix; a direction without variance gets a column of zeros. */
function choleskyOf(matrix: Float64Array, size: number): Float64Array {
  const factor = new Float64Array(size * size);
  for (let a = 0; a < size; a++) {
    for (let b = 0; b <= a; b++) {
      let sum = matrix[a * size + b];
      for (let e = 0; e < b; e++) sum -= factor[a * size + e] * factor[b * size + e];
      if (a === b) factor[a * size + a] = sum > 1e-12 * matrix[a * size + a] ? Math.sqrt(sum) : 0;
      else factor[a * size + b] = factor[b * size + b] > 0 ? sum / factor[b * size + b] : 0;
    }
  }
  return factor;
}
