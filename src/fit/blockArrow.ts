import { factorInPlace, solveLower } from "./denseAlgebra.ts";

// Symmetric systems of many small groups of unknowns that meet only through the rest, and of that rest, in which each group
// meets a few alone. Groups are eliminated first, so that nothing fills up: for g groups that meet k of n others each the
// cost is about g·k² + n³ instead of the cube of them all. (A band with a border, as in arrowSystem.ts, would need the groups
// to be near neighbours.)

/** Which unknown stands where. */
export interface ArrowPattern {
  /** number of all unknowns */
  readonly size: number;
  /** the unknowns of each group, and those of the rest that it meets, both rising */
  readonly groups: readonly { readonly unknowns: Int32Array; readonly meets: Int32Array }[];
  /** unknowns of the rest, rising */
  readonly rest: Int32Array;
  /** group of an unknown, or -1 for one of the rest; and its place there */
  readonly groupOf: Int32Array;
  readonly placeOf: Int32Array;
}

/** The lower triangle of such a matrix, or of its Cholesky factor with the groups first. */
export interface BlockArrow {
  readonly pattern: ArrowPattern;
  /** of each group: its own square, row by row */
  readonly own: readonly Float64Array[];
  /** of each group: a row for each of the rest that it meets */
  readonly across: readonly Float64Array[];
  readonly corner: Float64Array;
  /** of each group: places in the rest of those that it meets */
  readonly places: readonly Int32Array[];
}

/**
 * @param size number of all unknowns   @param groups unknowns of each group, none in two of them
 * @param meets unknowns of the rest that each group meets
 */
export function arrowPattern(
  size: number,
  groups: readonly Iterable<number>[],
  meets: readonly Iterable<number>[],
): ArrowPattern {
  const groupOf = new Int32Array(size).fill(-1);
  const placeOf = new Int32Array(size);
  const rising = (unknowns: Iterable<number>) => Int32Array.from(new Set(unknowns)).sort();
  const found = groups.map((unknowns, g) => ({ unknowns: rising(unknowns), meets: rising(meets[g]) }));
  found.forEach(({ unknowns }, g) => {
    unknowns.forEach((unknown, place) => {
      groupOf[unknown] = g;
      placeOf[unknown] = place;
    });
  });
  const rest = Int32Array.from({ length: size }, (_, i) => i).filter((i) => groupOf[i] < 0);
  rest.forEach((unknown, place) => {
    placeOf[unknown] = place;
  });
  return { size, groups: found, rest, groupOf, placeOf };
}

/** A matrix of zeros. */
export function createBlockArrow(pattern: ArrowPattern): BlockArrow {
  const { groups, rest, placeOf } = pattern;
  return {
    pattern,
    own: groups.map(({ unknowns }) => new Float64Array(unknowns.length ** 2)),
    across: groups.map(({ unknowns, meets }) => new Float64Array(unknowns.length * meets.length)),
    corner: new Float64Array(rest.length ** 2),
    places: groups.map(({ meets }) => meets.map((unknown) => placeOf[unknown])),
  };
}

/** Sets everything to zero. */
export function clearBlockArrow({ own, across, corner }: BlockArrow): void {
  for (const values of own) values.fill(0);
  for (const values of across) values.fill(0);
  corner.fill(0);
}

/** Copies one matrix into another of the same pattern, its diagonal times a factor. */
export function copyBlockArrow(from: BlockArrow, to: BlockArrow, ofDiagonal = 1): void {
  const stretch = (values: Float64Array, n: number) => {
    for (let i = 0; i < n; i++) values[i * n + i] *= ofDiagonal;
  };
  from.own.forEach((values, g) => {
    to.own[g].set(values);
    stretch(to.own[g], to.pattern.groups[g].unknowns.length);
  });
  from.across.forEach((values, g) => {
    to.across[g].set(values);
  });
  to.corner.set(from.corner);
  stretch(to.corner, to.pattern.rest.length);
}

/** Adds to the entry of two unknowns; those of two groups never meet. For hot loops: no checks. */
export function addTo(matrix: BlockArrow, i: number, j: number, value: number): void {
  const { groups, groupOf, placeOf, rest } = matrix.pattern;
  const a = groupOf[i];
  const b = groupOf[j];
  const p = placeOf[i];
  const q = placeOf[j];
  if (a === b) {
    const width = a < 0 ? rest.length : groups[a].unknowns.length;
    const values = a < 0 ? matrix.corner : matrix.own[a];
    values[p > q ? p * width + q : q * width + p] += value;
  } else if (a < 0) {
    const { unknowns, meets } = groups[b];
    matrix.across[b][meets.indexOf(i) * unknowns.length + q] += value;
  } else {
    const { unknowns, meets } = groups[a];
    matrix.across[a][meets.indexOf(j) * unknowns.length + p] += value;
  }
}

/**
 * Cholesky factor in place of the matrix, groups first.
 * @returns false when the matrix is not positive definite in double precision
 */
export function factorBlockArrow({ pattern, own, across, corner, places }: BlockArrow): boolean {
  const n = pattern.rest.length;
  for (let g = 0; g < own.length; g++) {
    const m = pattern.groups[g].unknowns.length;
    const L = own[g];
    const W = across[g];
    const at = places[g];
    if (!factorInPlace(L, m)) return false;
    for (let k = 0; k < at.length; k++) {
      const row = k * m;
      for (let e = 0; e < m; e++) {
        let sum = W[row + e];
        for (let d = 0; d < e; d++) sum -= L[e * m + d] * W[row + d];
        W[row + e] = sum / L[e * m + e];
      }
      const to = at[k] * n;
      for (let l = 0; l <= k; l++) {
        let sum = 0;
        for (let e = 0; e < m; e++) sum += W[row + e] * W[l * m + e];
        corner[to + at[l]] -= sum;
      }
    }
  }
  return factorInPlace(corner, n);
}

/** Solves L·x = y with a factored matrix; x replaces y. @param room of the length of the rest */
export function solveLowerArrow(
  { pattern, own, across, corner, places }: BlockArrow,
  y: Float64Array,
  room: Float64Array,
): void {
  const { groups, rest } = pattern;
  for (let i = 0; i < rest.length; i++) room[i] = y[rest[i]];
  for (let g = 0; g < own.length; g++) {
    const { unknowns } = groups[g];
    const m = unknowns.length;
    const L = own[g];
    for (let e = 0; e < m; e++) {
      let sum = y[unknowns[e]];
      for (let d = 0; d < e; d++) sum -= L[e * m + d] * y[unknowns[d]];
      y[unknowns[e]] = sum / L[e * m + e];
    }
    const W = across[g];
    const at = places[g];
    for (let e = 0; e < m; e++) {
      const value = y[unknowns[e]];
      for (let k = 0; k < at.length; k++) room[at[k]] -= W[k * m + e] * value;
    }
  }
  solveLower(corner, room);
  for (let i = 0; i < rest.length; i++) y[rest[i]] = room[i];
}

/** Solves Lᵀ·x = z with a factored matrix; x replaces z. @param room of the length of the rest */
export function solveUpperArrow(
  { pattern, own, across, corner, places }: BlockArrow,
  z: Float64Array,
  room: Float64Array,
): void {
  const { groups, rest } = pattern;
  const n = rest.length;
  for (let i = 0; i < n; i++) room[i] = z[rest[i]];
  // Row by row as the factor lies in memory.
  for (let r = n - 1; r >= 0; r--) {
    const value = room[r] / corner[r * n + r];
    room[r] = value;
    if (value === 0) continue;
    const row = r * n;
    for (let c = 0; c < r; c++) room[c] -= corner[row + c] * value;
  }
  for (let i = 0; i < n; i++) z[rest[i]] = room[i];
  for (let g = 0; g < own.length; g++) {
    const { unknowns } = groups[g];
    const m = unknowns.length;
    const L = own[g];
    const W = across[g];
    const at = places[g];
    for (let e = m - 1; e >= 0; e--) {
      let sum = z[unknowns[e]];
      for (let k = 0; k < at.length; k++) sum -= W[k * m + e] * room[at[k]];
      for (let d = e + 1; d < m; d++) sum -= L[d * m + e] * z[unknowns[d]];
      z[unknowns[e]] = sum / L[e * m + e];
    }
  }
}
