/** Small dense matrices, n × n, row by row in one array. Nothing checked, nothing allocated. */

/** out = a·b; out must be neither of them. */
export function multiplyInto(a: Float64Array, b: Float64Array, n: number, out: Float64Array): void {
  for (let i = 0; i < n; i++) {
    const row = i * n;
    for (let j = 0; j < n; j++) out[row + j] = 0;
    for (let k = 0; k < n; k++) {
      const factor = a[row + k];
      if (factor === 0) continue;
      const from = k * n;
      for (let j = 0; j < n; j++) out[row + j] += factor * b[from + j];
    }
  }
}

/** out += scale·a·b; out must be neither of them. */
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

/** out = a·v */
export function applyInto(a: Float64Array, v: Float64Array, n: number, out: Float64Array): void {
  for (let i = 0; i < n; i++) {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += a[i * n + j] * v[j];
    out[i] = sum;
  }
}

/**
 * Solves a·x = b for `columns` right-hand sides by elimination with row exchange; b becomes x, a is used up.
 * Row i of b from i·columns.
 */
export function solveInPlace(a: Float64Array, b: Float64Array, n: number, columns: number): void {
  for (let k = 0; k < n; k++) {
    let pivot = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(a[i * n + k]) > Math.abs(a[pivot * n + k])) pivot = i;
    if (pivot !== k) {
      for (let j = k; j < n; j++) {
        const held = a[k * n + j];
        a[k * n + j] = a[pivot * n + j];
        a[pivot * n + j] = held;
      }
      for (let j = 0; j < columns; j++) {
        const held = b[k * columns + j];
        b[k * columns + j] = b[pivot * columns + j];
        b[pivot * columns + j] = held;
      }
    }
    const over = 1 / a[k * n + k];
    for (let i = k + 1; i < n; i++) {
      const factor = a[i * n + k] * over;
      if (factor === 0) continue;
      for (let j = k + 1; j < n; j++) a[i * n + j] -= factor * a[k * n + j];
      for (let j = 0; j < columns; j++) b[i * columns + j] -= factor * b[k * columns + j];
    }
  }
  for (let k = n - 1; k >= 0; k--) {
    const over = 1 / a[k * n + k];
    for (let j = 0; j < columns; j++) b[k * columns + j] *= over;
    for (let i = 0; i < k; i++) {
      const factor = a[i * n + k];
      if (factor === 0) continue;
      for (let j = 0; j < columns; j++) b[i * columns + j] -= factor * b[k * columns + j];
    }
  }
}
