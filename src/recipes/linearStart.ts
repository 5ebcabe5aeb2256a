import { MinimaxStep } from "../fit/minimaxStep.ts";
import type { DepthModel } from "./filmStack.ts";

/** x ≥ 0 with Σx = sum that minimises the squares of A·x − y, row r of A from r·variables. */
interface SharesProblem {
  readonly A: ArrayLike<number>;
  readonly y: ArrayLike<number>;
  readonly variables: number;
  readonly low?: ArrayLike<number>;
  readonly high?: ArrayLike<number>;
  /** The variables add up to this; no such demand when left out. */
  readonly sum?: number;
}

/**
 * Least squares within limits, by the active-set solver; near-collinear columns are held apart by a ridge of 1e-12 of the
 * greatest curvature.
 * @throws RangeError when the limits leave no way to the demanded sum
 */
export function boundedLeastSquares({ A, y, variables, low, high, sum }: SharesProblem): Float64Array {
  const n = variables;
  const rows = y.length;
  const least = Float64Array.from({ length: n }, (_, i) => low?.[i] ?? 0);
  const greatest = Float64Array.from({ length: n }, (_, i) => high?.[i] ?? sum ?? 1e6);
  const x = least.slice();
  if (sum !== undefined) {
    const from = least.reduce((t, v) => t + v, 0);
    const to = greatest.reduce((t, v) => t + v, 0);
    if (sum < from - 1e-12 || sum > to + 1e-12) {
      throw new RangeError(`sum = ${sum}: must be from ${from} to ${to}, what the limits add up to`);
    }
    const share = to > from ? (sum - from) / (to - from) : 0;
    for (let i = 0; i < n; i++) x[i] += share * (greatest[i] - least[i]);
  }
  const step = new MinimaxStep(n, 1, sum === undefined ? 0 : 1);
  // Columns are scaled to unit length, so that strong and weak pastes weigh alike.
  const unit = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let square = 0;
    for (let r = 0; r < rows; r++) square += A[r * n + i] ** 2;
    unit[i] = square > 0 ? 1 / Math.sqrt(square) : 1;
  }
  const misses = new Float64Array(rows);
  let norm = 0;
  for (let r = 0; r < rows; r++) {
    misses[r] = -y[r];
    for (let i = 0; i < n; i++) misses[r] += A[r * n + i] * x[i];
    norm += misses[r] ** 2;
  }
  norm = Math.sqrt(norm);
  if (norm === 0) return x;
  for (let r = 0; r < rows; r++) {
    for (let i = 0; i < n; i++) {
      const ai = A[r * n + i] * unit[i];
      step.g[i] += (ai * misses[r]) / norm;
      for (let j = 0; j < n; j++) step.H[i * n + j] += ai * A[r * n + j] * unit[j];
    }
  }
  for (let i = 0; i < n; i++) {
    step.H[i * n + i] += 1e-12;
    unit[i] *= norm;
    step.low[i] = (least[i] - x[i]) / unit[i];
    step.high[i] = (greatest[i] - x[i]) / unit[i];
    if (sum !== undefined) step.a[i] = unit[i];
  }
  step.solve(sum === undefined ? 0 : 1);
  for (let i = 0; i < n; i++) {
    x[i] = Math.min(greatest[i], Math.max(least[i], x[i] + step.d[i] * unit[i]));
  }
  return x;
}

/**
 * Where to start a match to a spectrum: the shares whose K/S comes nearest to that of the target, taken as opaque, at a
 * given total of the variables.
 *
 * @param internal internal reflectance of the target, above 0
 * @param sum total of the variables   @param low, high limits of each
 * @param rowWeights how much each wavelength counts to the eye
 * Source: Allen 1974 (linear form); rows weighted by dR/d(K/S) so that the misses are those of reflectance.
 */
export function linearStart(
  depths: DepthModel,
  internal: ArrayLike<number>,
  sum: number,
  low: Float64Array,
  high: Float64Array,
  rowWeights: ArrayLike<number>,
): Float64Array {
  const { length, baseAlpha, baseSigma, alpha, sigma, variables } = depths;
  let scattering: Float64Array | undefined;
  let x: Float64Array = low.slice();
  // The second round divides by the scattering found in the first.
  for (let round = 0; round < 3; round++) {
    const A = new Float64Array(length * variables);
    const y = new Float64Array(length);
    for (let k = 0; k < length; k++) {
      const R = Math.min(0.999, Math.max(1e-4, internal[k]));
      const q = (1 - R) ** 2 / (2 * R);
      const toReflectance = (2 * R * R) / (1 - R * R);
      const w = (Math.sqrt(rowWeights[k]) * toReflectance) / (scattering ? scattering[k] : 1);
      for (let i = 0; i < variables; i++) {
        A[k * variables + i] = w * (alpha[i * length + k] - q * sigma[i * length + k]);
      }
      y[k] = -w * (baseAlpha[k] - q * baseSigma[k]);
    }
    x = boundedLeastSquares({ A, y, variables, low, high, sum });
    scattering = baseSigma.slice();
    let greatest = 0;
    for (let k = 0; k < length; k++) {
      for (let i = 0; i < variables; i++) scattering[k] += x[i] * sigma[i * length + k];
      greatest = Math.max(greatest, scattering[k]);
    }
    for (let k = 0; k < length; k++) scattering[k] = Math.max(scattering[k], 1e-3 * greatest, 1e-12);
  }
  return x;
}
