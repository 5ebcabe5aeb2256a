import { factorInPlace, solveFactored } from "./denseAlgebra.ts";

/** Normal equations of a linear least-squares problem: AᵀA (lower triangle, row by row) and Aᵀb. */
export interface NormalEquations {
  readonly matrix: Float64Array;
  readonly side: Float64Array;
}

/** Equations without any rows, for `n` unknowns. */
export function noEquations(n: number): NormalEquations {
  return { matrix: new Float64Array(n * n), side: new Float64Array(n) };
}

/** Adds one row of A with its b. */
export function addRow({ matrix, side }: NormalEquations, row: ArrayLike<number>, right: number): void {
  const n = side.length;
  for (let i = 0; i < n; i++) {
    side[i] += row[i] * right;
    for (let j = 0; j <= i; j++) matrix[i * n + j] += row[i] * row[j];
  }
}

/** The equations of `a` with those of `b` added (`sign` 1) or taken out (`sign` −1). */
export function combined(a: NormalEquations, b: NormalEquations, sign: 1 | -1): NormalEquations {
  return {
    matrix: a.matrix.map((value, i) => value + sign * b.matrix[i]),
    side: a.side.map((value, i) => value + sign * b.side[i]),
  };
}

/**
 * Solution of the equations with a pull towards a starting solution: minimises |A x − b|² + pull·d·|x − start|², where d
 * is the mean over the columns of A of their sum of squares, so that the pull does not depend on units.
 *
 * @throws RangeError when the equations do not determine the solution
 */
export function solveNormal(
  equations: NormalEquations,
  start: ArrayLike<number>,
  pull: number,
): Float64Array {
  const n = start.length;
  const matrix = Float64Array.from(equations.matrix);
  const side = Float64Array.from(equations.side);
  let trace = 0;
  for (let i = 0; i < n; i++) {
    trace += matrix[i * n + i];
    for (let j = 0; j < n; j++) side[i] -= matrix[i >= j ? i * n + j : j * n + i] * start[j];
  }
  for (let i = 0; i < n; i++) matrix[i * n + i] += (pull * trace) / n;
  if (!factorInPlace(matrix, n)) throw new RangeError("the samples do not determine the correction");
  solveFactored(matrix, side);
  return side.map((correction, i) => start[i] + correction);
}
