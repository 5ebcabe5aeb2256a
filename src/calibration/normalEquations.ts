import { type ArrowSystem, clearArrowSystem } from "../fit/arrowSystem.ts";
import type { Compiled, Estimate } from "./compiled.ts";
import { createFilmParts, createFilmSlopes, filmPartsInto, filmSlopesInto } from "./filmSlopes.ts";

/** Wish for K and S that change smoothly along the spectrum: second differences of ln(K + floor) and ln(S + floor). */
export interface Smoothness {
  /** weight of each squared second difference; 0 = no wish */
  readonly weight: number;
  /** values far below this are all the same to the wish, 1/µm */
  readonly absorptionFloor: number;
  readonly scatteringFloor: number;
}

/** What is minimised: squared standardised residuals, softened for large ones, plus priors and smoothness. */
export interface Objective {
  /** Huber's threshold in standard deviations; Infinity = plain squares */
  readonly huber: number;
  /** all stated σ of readings are multiplied by this */
  readonly noiseScale: number;
  readonly smoothness: Smoothness;
}

export const noSmoothness: Smoothness = { weight: 0, absorptionFloor: 1, scatteringFloor: 1 };

/** Half bandwidth of the normal matrix: one wavelength's block, or with smoothness its neighbours two steps away. */
export function halfBandwidth(m: number, smoothness: Smoothness): number {
  return smoothness.weight > 0 ? 2 * m : m - 1;
}

/** A change of weight for single readings, for cross-validation: weight[i·readings + r], 0 = held out. */
export type ReadingWeights = Float64Array | undefined;

const parts = createFilmParts();
const slopes = createFilmSlopes();

/**
 * Value of the objective (half the sum of squares); on request with the Gauss-Newton normal equations: matrix and,
 * as right side, the negative gradient.
 *
 * It is in one piece because all wavelengths and films share its work arrays and nothing may be allocated on the way.
 *
 * @param system receives the equations; undefined = only the value is wanted
 * @param residuals receives (predicted − measured)/σ as [i·readings + r]; undefined = not wanted
 * Source: film and interface as in src/optics (Kubelka 1948, Saunderson 1942); robust loss: Huber 1964.
 */
export function normalEquations(
  compiled: Compiled,
  estimate: Estimate,
  objective: Objective,
  system?: ArrowSystem,
  residuals?: Float64Array,
  weights?: ReadingWeights,
): number {
  const { n, m, p, films, components, grounds, readings, k1 } = compiled;
  const { local, shared } = estimate;
  const { sharedOfFilm, sharedOfK2, localOfComponent, localOfGround, known, fractions, used } = compiled;
  if (system !== undefined) clearArrowSystem(system);
  const row = system === undefined ? 0 : system.w + 1;
  const K = new Float64Array(components);
  const S = new Float64Array(components);
  const internal = new Float64Array(grounds);
  const slopeOfGround = new Float64Array(grounds); // ∂internal/∂reading
  const slopeOfK2 = new Float64Array(grounds); // ∂internal/∂k2
  const jacobian = new Float64Array(m);
  const thickness = new Float64Array(films);
  for (let f = 0; f < films; f++) {
    thickness[f] = sharedOfFilm[f] < 0 ? Number.POSITIVE_INFINITY : Math.exp(shared[sharedOfFilm[f]]);
  }
  const k2 = sharedOfK2 < 0 ? compiled.k2 : shared[sharedOfK2];
  const through = (1 - k1) * (1 - k2);
  const { huber, noiseScale } = objective;
  let cost = 0;

  for (let i = 0; i < n; i++) {
    for (let j = 0; j < components; j++) {
      const u = localOfComponent[j];
      K[j] = u < 0 ? known[(i * components + j) * 2] : local[i * m + u];
      S[j] = u < 0 ? known[(i * components + j) * 2 + 1] : local[i * m + u + 1];
    }
    for (let g = 0; g < grounds; g++) {
      const u = localOfGround[g];
      const value = u < 0 ? compiled.groundValues[i * grounds + g] : local[i * m + u];
      if (compiled.groundInternal[g] === 1) {
        internal[g] = value;
        slopeOfGround[g] = 1;
        slopeOfK2[g] = 0;
        continue;
      }
      const left = value - k1;
      const below = 1 / (through + k2 * left);
      const R = left * below;
      // A card darker than its surface reflection, or lighter than white, is taken at the limit; screening tells.
      const inside = R >= 0 && R <= 1 ? 1 : 0;
      internal[g] = inside === 1 ? R : R < 0 || !(below > 0) ? 0 : 1;
      slopeOfGround[g] = inside * through * below * below;
      slopeOfK2[g] = inside * left * (1 - value) * below * below;
    }
    for (let f = 0; f < films; f++) {
      if (used[f] === 0) continue;
      let filmK = 0;
      let filmS = 0;
      for (let j = 0; j < components; j++) {
        const c = fractions[f * components + j];
        filmK += c * K[j];
        filmS += c * S[j];
      }
      const X = thickness[f];
      const opaque = sharedOfFilm[f] < 0;
      if (opaque) opaquePartsInto(filmK, filmS);
      else filmPartsInto(filmK, filmS, X, parts);
      for (let r = compiled.firstReading[f]; r < compiled.firstReading[f + 1]; r++) {
        const at = i * readings + r;
        const inverse = compiled.inverseSigma[at] / noiseScale;
        const g = compiled.groundOf[r];
        if (opaque) opaqueSlopesInto(filmK, filmS);
        else filmSlopesInto(parts, X, internal[g], slopes);
        const R = slopes.R;
        const below = 1 / (1 - k2 * R);
        const residual = (k1 + through * R * below - compiled.values[at]) * inverse;
        if (residuals !== undefined) residuals[at] = residual;
        if (inverse === 0) continue;
        const own = weights === undefined ? 1 : weights[at];
        if (own === 0) continue;
        const size = Math.abs(residual);
        cost += own * (size <= huber ? 0.5 * residual * residual : huber * (size - 0.5 * huber));
        if (system === undefined) continue;
        const weight = own * (size <= huber ? 1 : huber / size);
        const outward = through * below * below * inverse; // ∂measured/∂internal, standardised
        jacobian.fill(0);
        for (let j = 0; j < components; j++) {
          const u = localOfComponent[j];
          if (u < 0) continue;
          const c = fractions[f * components + j];
          jacobian[u] = c * slopes.dK * outward;
          jacobian[u + 1] = c * slopes.dS * outward;
        }
        const ug = localOfGround[g];
        if (ug >= 0) jacobian[ug] = slopes.dRg * slopeOfGround[g] * outward;
        const s = sharedOfFilm[f];
        const byThickness = slopes.dLogX * outward;
        const byK2 =
          sharedOfK2 < 0
            ? 0
            : (1 - k1) * R * (R - 1) * below * below * inverse + slopes.dRg * slopeOfK2[g] * outward;
        for (let u = 0; u < m; u++) {
          const value = weight * jacobian[u];
          if (value === 0) continue;
          const k = i * m + u;
          for (let v = 0; v <= u; v++) system.band[k * row + (u - v)] += value * jacobian[v];
          system.localSide[k] -= value * residual;
          if (s >= 0) system.border[k * p + s] += value * byThickness;
          if (sharedOfK2 >= 0) system.border[k * p + sharedOfK2] += value * byK2;
        }
        if (s >= 0) {
          system.corner[s * p + s] += weight * byThickness * byThickness;
          system.sharedSide[s] -= weight * byThickness * residual;
        }
        if (sharedOfK2 >= 0) {
          system.corner[sharedOfK2 * p + sharedOfK2] += weight * byK2 * byK2;
          system.sharedSide[sharedOfK2] -= weight * byK2 * residual;
          if (s >= 0) {
            system.corner[sharedOfK2 * p + s] += weight * byK2 * byThickness;
            system.corner[s * p + sharedOfK2] += weight * byK2 * byThickness;
          }
        }
      }
    }
  }
  cost += addPriors(compiled, estimate, system);
  if (objective.smoothness.weight > 0)
    cost += addSmoothness(compiled, estimate, objective.smoothness, system);
  return cost;
}

/** An infinitely thick film does not need its T: tanh → 1. */
function opaquePartsInto(K: number, S: number): void {
  parts.K = K;
  parts.S = S;
}

// R∞ = S/(K + S + B), B = √(K(K+2S)); dR∞ from d(K/S) of Kubelka and Munk 1931: dR/dq = −2R²/(1 − R²), q = K/S.
function opaqueSlopesInto(K: number, S: number): void {
  slopes.dLogX = 0;
  slopes.dRg = 0;
  const B = Math.sqrt(K * (K + 2 * S));
  const below = K + S + B;
  if (!(below > 0)) {
    slopes.R = 1;
    slopes.dK = 0;
    slopes.dS = 0;
    return;
  }
  const R = S / below;
  slopes.R = R;
  // ∂R/∂K = −R/B and ∂R/∂S = R·K/(S·B) follow from the above and stay finite for S → 0 (R/S = 1/below).
  const floor = Math.max(B, 1e-9 * (K + S));
  slopes.dK = -R / floor;
  slopes.dS = K / (below * floor);
}

function addPriors(compiled: Compiled, { local, shared }: Estimate, system?: ArrowSystem): number {
  const { localMean, localPrecision, sharedMean, sharedPrecision, p } = compiled;
  let cost = 0;
  for (let k = 0; k < local.length; k++) {
    const precision = localPrecision[k];
    if (precision === 0) continue;
    const off = local[k] - localMean[k];
    cost += 0.5 * precision * off * off;
    if (system === undefined) continue;
    system.band[k * (system.w + 1)] += precision;
    system.localSide[k] -= precision * off;
  }
  for (let s = 0; s < p; s++) {
    const off = shared[s] - sharedMean[s];
    cost += 0.5 * sharedPrecision[s] * off * off;
    if (system === undefined) continue;
    system.corner[s * p + s] += sharedPrecision[s];
    system.sharedSide[s] -= sharedPrecision[s] * off;
  }
  return cost;
}

function addSmoothness(
  { n, m }: Compiled,
  { local }: Estimate,
  { weight, absorptionFloor, scatteringFloor }: Smoothness,
  system?: ArrowSystem,
): number {
  let cost = 0;
  for (let u = 0; u < 2; u++) {
    const floor = u === 0 ? absorptionFloor : scatteringFloor;
    for (let i = 1; i < n - 1; i++) {
      const before = (i - 1) * m + u;
      const here = i * m + u;
      const after = (i + 1) * m + u;
      const bend =
        Math.log(local[before] + floor) - 2 * Math.log(local[here] + floor) + Math.log(local[after] + floor);
      cost += 0.5 * weight * bend * bend;
      if (system === undefined) continue;
      const row = system.w + 1;
      const a = 1 / (local[before] + floor);
      const b = -2 / (local[here] + floor);
      const c = 1 / (local[after] + floor);
      system.band[before * row] += weight * a * a;
      system.band[here * row] += weight * b * b;
      system.band[after * row] += weight * c * c;
      system.band[here * row + m] += weight * a * b;
      system.band[after * row + m] += weight * b * c;
      system.band[after * row + 2 * m] += weight * a * c;
      system.localSide[before] -= weight * bend * a;
      system.localSide[here] -= weight * bend * b;
      system.localSide[after] -= weight * bend * c;
    }
  }
  return cost;
}
