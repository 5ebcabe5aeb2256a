/**
 * Linear least squares with a pull towards a starting solution: minimises |A x − b|² + pull·d·|x − start|², where d is
 * the mean over the columns of A of their sum of squares, so that the pull does not depend on units.
 *
 * @param rows A, one array for each equation   @param right b   @param pull above 0 makes the solution unique
 * @throws RangeError when the system is singular
 */
export function leastSquares(
  rows: readonly ArrayLike<number>[],
  right: ArrayLike<number>,
  start: ArrayLike<number>,
  pull: number,
): Float64Array {
  const n = start.length;
  const normal = new Float64Array(n * n);
  const sides = new Float64Array(n);
  rows.forEach((row, k) => {
    let miss = right[k];
    for (let i = 0; i < n; i++) miss -= row[i] * start[i];
    for (let i = 0; i < n; i++) {
      if (row[i] === 0) continue;
      sides[i] += row[i] * miss;
      for (let j = 0; j <= i; j++) normal[i * n + j] += row[i] * row[j];
    }
  });
  let trace = 0;
  for (let i = 0; i < n; i++) trace += normal[i * n + i];
  for (let i = 0; i < n; i++) normal[i * n + i] += (pull * trace) / n;
  const correction = solvePositive(normal, sides);
  return Float64Array.from(start, (value, i) => value + correction[i]);
}

/** Solves a symmetric positive definite system given by its lower triangle (Cholesky); works in place. */
function solvePositive(lower: Float64Array, right: Float64Array): Float64Array {
  const n = right.length;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = lower[i * n + j];
      for (let k = 0; k < j; k++) sum -= lower[i * n + k] * lower[j * n + k];
      if (i !== j) lower[i * n + j] = sum / lower[j * n + j];
      else if (sum > 0) lower[i * n + i] = Math.sqrt(sum);
      else throw new RangeError("the patches do not determine the colour correction");
    }
  }
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) right[i] -= lower[i * n + k] * right[k];
    right[i] /= lower[i * n + i];
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) right[i] -= lower[k * n + i] * right[k];
    right[i] /= lower[i * n + i];
  }
  return right;
}
