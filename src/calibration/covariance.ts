import { type ArrowSystem, backBand, factorArrow, solveBand } from "../fit/arrowSystem.ts";
import { inverseOfFactored } from "../fit/denseAlgebra.ts";
import type { Compiled, Estimate } from "./compiled.ts";
import { equationsAt } from "./fit.ts";
import type { Objective } from "./normalEquations.ts";

/** How well the unknowns are settled: standard deviations and covariances at the end of a fit. */
export interface Uncertainty {
  /** 1σ of K and S of the paste, one value for each wavelength */
  readonly absorptionSigma: Float64Array;
  readonly scatteringSigma: Float64Array;
  /** 1σ of K and S if thicknesses (and k2) were known exactly */
  readonly absorptionSigmaAlone: Float64Array;
  readonly scatteringSigmaAlone: Float64Array;
  /** correlation of K and S at each wavelength, −1…1 */
  readonly correlation: Float64Array;
  /** covariance of K₀…K_{n−1}, S₀…S_{n−1}, row by row: 2n × 2n; empty unless asked for */
  readonly covariance: Float64Array;
  /** covariance of the shared unknowns, p × p */
  readonly sharedCovariance: Float64Array;
}

/** A thickness nobody measured is allowed this much (1σ of ln X) when asking what the data alone settle. */
const noKnowledge = 50;

/**
 * Covariance by the inverse of the Gauss-Newton matrix (the delta method), noise as scaled by the objective.
 *
 * With `dataAlone` the loose prior of unmeasured thicknesses counts for nothing, so that what the data do not settle
 * shows as an enormous σ. With `whole` the covariance of all K and S is returned as well.
 */
export function uncertaintyAt(
  compiled: Compiled,
  estimate: Estimate,
  objective: Objective,
  { dataAlone = false, whole = false } = {},
): Uncertainty {
  const { n, m, p, loose, sharedPrecision } = compiled;
  const system = equationsAt(compiled, estimate, objective);
  if (dataAlone) {
    for (let s = 0; s < p; s++) {
      if (loose[s] === 1) system.corner[s * p + s] += noKnowledge ** -2 - sharedPrecision[s];
    }
  }
  const shared = factored(system);
  if (!shared) throw new RangeError("the normal equations of the calibration are not positive definite");
  const { sharedCovariance, reach } = shared;
  // Columns of A⁻¹ for K and S of the paste.
  const rows = 2 * n;
  const placeOf = (index: number): number => (index < n ? index * m : (index - n) * m + 1);
  const column = new Float64Array(n * m);
  const covariance = new Float64Array(whole ? rows * rows : 0);
  const variance = new Float64Array(rows);
  const varianceAlone = new Float64Array(rows);
  const together = new Float64Array(n);
  const spread = new Float64Array(p);
  for (let b = 0; b < rows; b++) {
    column.fill(0);
    column[placeOf(b)] = 1;
    solveBand(system, column, placeOf(b));
    for (let s = 0; s < p; s++) {
      let sum = 0;
      for (let t = 0; t < p; t++) sum += reach[placeOf(b) * p + t] * sharedCovariance[t * p + s];
      spread[s] = sum;
    }
    const entry = (a: number): number => {
      let sum = column[placeOf(a)];
      for (let s = 0; s < p; s++) sum += spread[s] * reach[placeOf(a) * p + s];
      return sum;
    };
    if (whole) for (let a = 0; a < rows; a++) covariance[a * rows + b] = entry(a);
    variance[b] = Math.max(entry(b), 0);
    varianceAlone[b] = Math.max(column[placeOf(b)], 0);
    if (b < n) together[b] = entry(n + b);
  }
  const correlation = together.map((value, i) => {
    const product = variance[i] * variance[n + i];
    return product > 0 ? Math.max(-1, Math.min(1, value / Math.sqrt(product))) : 0;
  });
  const sigma = variance.map(Math.sqrt);
  const sigmaAlone = varianceAlone.map(Math.sqrt);
  return {
    absorptionSigma: sigma.slice(0, n),
    scatteringSigma: sigma.slice(n),
    absorptionSigmaAlone: sigmaAlone.slice(0, n),
    scatteringSigmaAlone: sigmaAlone.slice(n),
    correlation,
    covariance,
    sharedCovariance,
  };
}

/**
 * How many unknowns the readings really have to settle: an unknown with a prior (a bare ground, a stated thickness)
 * counts only as far as the readings move it. Equals the trace of the hat matrix of the readings.
 */
export function effectiveUnknowns(compiled: Compiled, estimate: Estimate, objective: Objective): number {
  const { n, m, p, localPrecision, sharedPrecision } = compiled;
  const system = equationsAt(compiled, estimate, objective);
  const shared = factored(system);
  if (!shared) return n * m + p;
  const { sharedCovariance, reach } = shared;
  const column = new Float64Array(n * m);
  let count = n * m + p;
  for (let s = 0; s < p; s++) count -= sharedPrecision[s] * sharedCovariance[s * p + s];
  for (let k = 0; k < n * m; k++) {
    if (localPrecision[k] === 0) continue;
    column.fill(0);
    column[k] = 1;
    solveBand(system, column, k);
    let variance = column[k];
    for (let s = 0; s < p; s++) {
      for (let t = 0; t < p; t++)
        variance += reach[k * p + s] * sharedCovariance[s * p + t] * reach[k * p + t];
    }
    count -= Math.min(localPrecision[k] * variance, 1);
  }
  return count;
}

/** Factors the system: covariance of the shared unknowns and A⁻¹·border; undefined when it is not positive definite. */
function factored(system: ArrowSystem): { sharedCovariance: Float64Array; reach: Float64Array } | undefined {
  keepInvertible(system);
  if (!factorArrow(system)) return undefined;
  const { n, p, border, corner } = system;
  const column = new Float64Array(n);
  const reach = new Float64Array(n * p);
  for (let s = 0; s < p; s++) {
    // The factored border holds L⁻¹·border; one more sweep with Lᵀ makes it A⁻¹·border.
    for (let k = 0; k < n; k++) column[k] = border[k * p + s];
    backBand(system, column);
    for (let k = 0; k < n; k++) reach[k * p + s] = column[k];
  }
  return { sharedCovariance: inverseOfFactored(corner, p), reach };
}

/** A touch on the diagonal, 1e-13 of it, lets an undetermined direction come out enormous instead of failing. */
function keepInvertible({ n, w, p, band, corner }: ArrowSystem): void {
  const row = w + 1;
  for (let k = 0; k < n; k++) band[k * row] += 1e-13 * band[k * row] + 1e-30;
  for (let s = 0; s < p; s++) corner[s * p + s] += 1e-13 * corner[s * p + s] + 1e-30;
}
