/**
 * Solves a dense square linear system in place by elimination with row exchange.
 *
 * @param matrix row by row, n × n; destroyed   @param right n numbers; receives the solution
 * @returns false when the matrix is singular to working precision (right is then of no use)
 */
export function solveLinear(matrix: Float64Array, right: Float64Array): boolean {
  const n = right.length;
  for (let column = 0; column < n; column++) {
    let pivot = column;
    for (let row = column + 1; row < n; row++) {
      if (Math.abs(matrix[row * n + column]) > Math.abs(matrix[pivot * n + column])) pivot = row;
    }
    const head = matrix[pivot * n + column];
    if (!(Math.abs(head) > 1e-300)) return false;
    if (pivot !== column) {
      for (let k = column; k < n; k++) {
        const kept = matrix[column * n + k];
        matrix[column * n + k] = matrix[pivot * n + k];
        matrix[pivot * n + k] = kept;
      }
      const kept = right[column];
      right[column] = right[pivot];
      right[pivot] = kept;
    }
    for (let row = column + 1; row < n; row++) {
      const factor = matrix[row * n + column] / head;
      if (factor === 0) continue;
      for (let k = column + 1; k < n; k++) matrix[row * n + k] -= factor * matrix[column * n + k];
      right[row] -= factor * right[column];
    }
  }
  for (let row = n - 1; row >= 0; row--) {
    let sum = right[row];
    for (let k = row + 1; k < n; k++) sum -= matrix[row * n + k] * right[k];
    right[row] = sum / matrix[row * n + row];
  }
  return true;
}
