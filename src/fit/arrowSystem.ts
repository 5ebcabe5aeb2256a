import { factorInPlace, solveFactored as solveDense } from "./denseAlgebra.ts";

// Symmetric systems shaped like an arrow: many local unknowns, coupled only to near neighbours (a band), and a few
// shared unknowns coupled to everything (the border). The local ones are eliminated first; what remains is the small
// dense system of the Schur complement. For n local unknowns with half bandwidth w and p shared ones the cost is
// about n·w·(w + p) + n·p² + p³ instead of (n + p)³.

/** Lower triangle of the band row by row, border and corner of a symmetric matrix, with its right side. */
export interface ArrowSystem {
  /** local unknowns */
  readonly n: number;
  /** half bandwidth: entries further than this from the diagonal are zero */
  readonly w: number;
  /** shared unknowns */
  readonly p: number;
  /** band[k·(w+1) + d] = A[k, k − d] */
  readonly band: Float64Array;
  /** border[k·p + q] = A[k, n + q] */
  readonly border: Float64Array;
  /** corner[r·p + q], both triangles */
  readonly corner: Float64Array;
  readonly localSide: Float64Array;
  readonly sharedSide: Float64Array;
}

/** A system of zeros. */
export function createArrowSystem(n: number, w: number, p: number): ArrowSystem {
  return {
    n,
    w,
    p,
    band: new Float64Array(n * (w + 1)),
    border: new Float64Array(n * p),
    corner: new Float64Array(p * p),
    localSide: new Float64Array(n),
    sharedSide: new Float64Array(p),
  };
}

/** Sets everything to zero. */
export function clearArrowSystem(system: ArrowSystem): void {
  system.band.fill(0);
  system.border.fill(0);
  system.corner.fill(0);
  system.localSide.fill(0);
  system.sharedSide.fill(0);
}

/** Copies one system into another of the same shape. */
export function copyArrowSystem(from: ArrowSystem, to: ArrowSystem): void {
  to.band.set(from.band);
  to.border.set(from.border);
  to.corner.set(from.corner);
  to.localSide.set(from.localSide);
  to.sharedSide.set(from.sharedSide);
}

/**
 * Factors the system in place (Cholesky): band → L, border → L⁻¹·border, corner → Cholesky factor of the Schur
 * complement. The right sides are left alone.
 *
 * @returns false when the matrix is not positive definite in double precision
 */
export function factorArrow(system: ArrowSystem): boolean {
  return factorBand(system) && reduceBorder(system) && factorInPlace(system.corner, system.p);
}

function factorBand({ n, w, band }: ArrowSystem): boolean {
  const row = w + 1;
  for (let k = 0; k < n; k++) {
    const reach = Math.min(w, k);
    for (let d = reach; d >= 0; d--) {
      const j = k - d;
      let sum = band[k * row + d];
      const common = Math.min(w - d, j);
      for (let e = 1; e <= common; e++) sum -= band[k * row + d + e] * band[j * row + e];
      if (d > 0) band[k * row + d] = sum / band[j * row];
      else if (sum > 0) band[k * row] = Math.sqrt(sum);
      else return false; // also for NaN
    }
  }
  return true;
}

function reduceBorder({ n, w, p, band, border, corner }: ArrowSystem): boolean {
  const row = w + 1;
  for (let k = 0; k < n; k++) {
    const inverse = 1 / band[k * row];
    const reach = Math.min(w, k);
    for (let q = 0; q < p; q++) {
      let sum = border[k * p + q];
      for (let d = 1; d <= reach; d++) sum -= band[k * row + d] * border[(k - d) * p + q];
      border[k * p + q] = sum * inverse;
    }
    for (let r = 0; r < p; r++) {
      const factor = border[k * p + r];
      if (factor === 0) continue;
      for (let q = 0; q <= r; q++) corner[r * p + q] -= factor * border[k * p + q];
    }
  }
  return true;
}

/**
 * Solves a factored system for its right sides.
 *
 * @param local receives the n local unknowns   @param shared receives the p shared ones
 */
export function solveFactored(system: ArrowSystem, local: Float64Array, shared: Float64Array): void {
  const { n, p, border } = system;
  local.set(system.localSide);
  shared.set(system.sharedSide);
  forwardBand(system, local, 0);
  for (let k = 0; k < n; k++) {
    for (let r = 0; r < p; r++) shared[r] -= border[k * p + r] * local[k];
  }
  solveDense(system.corner, shared);
  for (let k = 0; k < n; k++) {
    for (let q = 0; q < p; q++) local[k] -= border[k * p + q] * shared[q];
  }
  backBand(system, local);
}

/**
 * Solves with the band alone, as if the shared unknowns were known; the system must be factored.
 *
 * @param values right side, replaced by the solution   @param first index of its first entry that is not 0
 */
export function solveBand(system: ArrowSystem, values: Float64Array, first = 0): void {
  forwardBand(system, values, first);
  backBand(system, values);
}

/** L·x = values with the factored band, in place. */
function forwardBand({ n, w, band }: ArrowSystem, values: Float64Array, first: number): void {
  const row = w + 1;
  for (let k = first; k < n; k++) {
    let sum = values[k];
    const reach = Math.min(w, k);
    for (let d = 1; d <= reach; d++) sum -= band[k * row + d] * values[k - d];
    values[k] = sum / band[k * row];
  }
}

/** Lᵀ·x = values with the factored band, in place. */
export function backBand({ n, w, band }: ArrowSystem, values: Float64Array): void {
  const row = w + 1;
  for (let k = n - 1; k >= 0; k--) {
    let sum = values[k];
    const reach = Math.min(w, n - 1 - k);
    for (let d = 1; d <= reach; d++) sum -= band[(k + d) * row + d] * values[k + d];
    values[k] = sum / band[k * row];
  }
}
