/**
 * Small dense algebra for the hot loops: matrices are Float64Arrays, row by row, and every answer takes the place of
 * what it was made from, so that nothing is allocated. ml-matrix stays for what is asked once a calibration and is not
 * worth writing again, the eigenvalues of a covariance (src/calibration/identifiability.ts), and as the independent
 * second opinion of the tests.
 */

/**
 * Solves A·x = y by Gaussian elimination with partial pivoting; x replaces y, A is spent. The unknown of a pivot that
 * is lost to rounding (equations that say the same twice) is 0.
 *
 * @param width entries from one row of A to the next   @param lost pivots up to this share of the largest entry are lost
 * @param columns right-hand sides, side by side: row i of y from i·columns
 * @returns false when a pivot was lost
 */
export function solveInPlace(
  A: Float64Array,
  y: Float64Array,
  size = y.length,
  width = size,
  lost = 1e-14,
  columns = 1,
): boolean {
  let scale = 0;
  if (lost > 0) {
    for (let i = 0; i < size; i++) {
      for (let j = 0; j < size; j++) scale = Math.max(scale, Math.abs(A[i * width + j]));
    }
  }
  const tiny = lost * scale;
  let whole = true;
  for (let c = 0; c < size; c++) {
    let pivot = c;
    for (let r = c + 1; r < size; r++) {
      if (Math.abs(A[r * width + c]) > Math.abs(A[pivot * width + c])) pivot = r;
    }
    if (pivot !== c) {
      for (let j = c; j < size; j++) exchange(A, c * width + j, pivot * width + j);
      for (let q = 0; q < columns; q++) exchange(y, c * columns + q, pivot * columns + q);
    }
    const head = A[c * width + c];
    if (Math.abs(head) <= tiny) {
      whole = false;
      continue;
    }
    for (let r = c + 1; r < size; r++) {
      const factor = A[r * width + c] / head;
      if (factor === 0) continue;
      for (let j = c + 1; j < size; j++) A[r * width + j] -= factor * A[c * width + j];
      for (let q = 0; q < columns; q++) y[r * columns + q] -= factor * y[c * columns + q];
    }
  }
  for (let c = size - 1; c >= 0; c--) {
    const head = A[c * width + c];
    for (let q = 0; q < columns; q++) {
      let sum = y[c * columns + q];
      for (let j = c + 1; j < size; j++) sum -= A[c * width + j] * y[j * columns + q];
      y[c * columns + q] = Math.abs(head) <= tiny ? 0 : sum / head;
    }
  }
  return whole;
}

function exchange(values: Float64Array, a: number, b: number): void {
  const kept = values[a];
  values[a] = values[b];
  values[b] = kept;
}

/**
 * Cholesky factor L of a symmetric matrix in place of its lower triangle; what stands above the diagonal is neither read
 * nor changed.
 *
 * @returns false when the matrix is not positive definite in double precision
 */
export function factorInPlace(A: Float64Array, n: number): boolean {
  for (let r = 0; r < n; r++) {
    for (let q = 0; q <= r; q++) {
      let sum = A[r * n + q];
      for (let e = 0; e < q; e++) sum -= A[r * n + e] * A[q * n + e];
      if (q < r) A[r * n + q] = sum / A[q * n + q];
      else if (sum > 0) A[r * n + r] = Math.sqrt(sum);
      else return false; // also for NaN
    }
  }
  return true;
}

/** Solves L·x = y with L in a lower triangle; x replaces y. */
export function solveLower(L: Float64Array, y: Float64Array): void {
  const n = y.length;
  for (let r = 0; r < n; r++) {
    let sum = y[r];
    for (let q = 0; q < r; q++) sum -= L[r * n + q] * y[q];
    y[r] = sum / L[r * n + r];
  }
}

/** Solves L·Lᵀ·x = y with the factor in a lower triangle; x replaces y. */
export function solveFactored(L: Float64Array, y: Float64Array): void {
  const n = y.length;
  solveLower(L, y);
  for (let r = n - 1; r >= 0; r--) {
    let sum = y[r];
    for (let q = r + 1; q < n; q++) sum -= L[q * n + r] * y[q];
    y[r] = sum / L[r * n + r];
  }
}

/** Inverse of L·Lᵀ, whole. */
export function inverseOfFactored(L: Float64Array, n: number): Float64Array {
  const inverse = new Float64Array(n * n);
  for (let b = 0; b < n; b++) {
    // The inverse is symmetric: its columns are its rows.
    inverse[b * n + b] = 1;
    solveFactored(L, inverse.subarray(b * n, (b + 1) * n));
  }
  return inverse;
}

/** Inverse of a 3×3 matrix by its cofactors. */
export function inverse3(m: ArrayLike<number>): Float64Array {
  const [a, b, c, d, e, f, g, h, i] = Array.from(m);
  const determinant = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  return Float64Array.of(
    ...[e * i - f * h, c * h - b * i, b * f - c * e],
    ...[f * g - d * i, a * i - c * g, c * d - a * f],
    ...[d * h - e * g, b * g - a * h, a * e - b * d],
  ).map((value) => value / determinant);
}

/** Product of two 3×3 matrices. */
export function product3(a: ArrayLike<number>, b: ArrayLike<number>): Float64Array {
  return Float64Array.from({ length: 9 }, (_, i) => {
    const [row, column] = [3 * Math.floor(i / 3), i % 3];
    return a[row] * b[column] + a[row + 1] * b[column + 3] + a[row + 2] * b[column + 6];
  });
}

/** out = a·b for n × n matrices; out must be neither of them. */
export function multiplyInto(a: Float64Array, b: Float64Array, n: number, out: Float64Array): void {
  out.fill(0, 0, n * n);
  addProductInto(a, b, 1, n, out);
}

/** out += scale·a·b for n × n matrices; out must be neither of them. */
export function addProductInto(
  a: Float64Array,
  b: Float64Array,
  scale: number,
  n: number,
  out: Float64Array,
): void {
  for (let i = 0; i < n; i++) {
    const row = i * n;
    for (let k = 0; k < n; k++) {
      const factor = scale * a[row + k];
      if (factor === 0) continue;
      const from = k * n;
      for (let j = 0; j < n; j++) out[row + j] += factor * b[from + j];
    }
  }
}

/** out = a·v for an n × n matrix. */
export function applyInto(a: Float64Array, v: Float64Array, n: number, out: Float64Array): void {
  for (let i = 0; i < n; i++) {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += a[i * n + j] * v[j];
    out[i] = sum;
  }
}
