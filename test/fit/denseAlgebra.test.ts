import { CholeskyDecomposition, inverse, Matrix, solve } from "ml-matrix";
import { describe, expect, test } from "vitest";
import {
  factorInPlace,
  inverse3,
  inverseOfFactored,
  multiplyInto,
  product3,
  solveFactored,
  solveInPlace,
} from "../../src/fit/denseAlgebra.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";

const random = seededRandom(11);
const spread = () => 2 * random() - 1;
const square = (n: number) => Float64Array.from({ length: n * n }, spread);
const matrixOf = (A: Float64Array, n: number) => Matrix.from1DArray(n, n, [...A]);
const times = (A: Float64Array, x: Float64Array) =>
  x.map((_, i) => x.reduce((sum, value, j) => sum + A[i * x.length + j] * value, 0));
const same = (own: ArrayLike<number>, other: ArrayLike<number>) => {
  expect(own.length).toBe(other.length);
  // Random matrices of this size lose a few digits only.
  Array.from(own).forEach((value, i) => expect(value).toBeCloseTo(other[i], 8));
};
const sizes = [1, 2, 3, 5, 8, 13];

describe("solveInPlace", () => {
  test.each(sizes)("A·x = y gives x back, as ml-matrix does, n = %d", (n) => {
    const A = square(n);
    const x = Float64Array.from({ length: n }, spread);
    const y = times(A, x);
    const other = solve(matrixOf(A, n), Matrix.columnVector([...y])).getColumn(0); // independent
    expect(solveInPlace(A, y)).toBe(true);
    same(y, x); // identity: A⁻¹·A·x = x
    same(y, other);
  });

  test.each(sizes)("several right-hand sides side by side, and products of whole matrices, n = %d", (n) => {
    const [A, X, Y] = [square(n), square(n), new Float64Array(n * n)];
    multiplyInto(A, X, n, Y);
    same(Y, matrixOf(A, n).mmul(matrixOf(X, n)).to1DArray()); // independent
    expect(solveInPlace(A.slice(), Y, n, n, 0, n)).toBe(true);
    same(Y, X); // identity: A⁻¹·A·X = X
  });

  test("a part of a wider matrix, with a zero on the diagonal", () => {
    const A = Float64Array.of(0, 2, 9, 1, 1, 9, 9, 9, 9);
    const y = Float64Array.of(4, 3, 7);
    expect(solveInPlace(A, y, 2, 3)).toBe(true);
    same(y, [1, 2, 7]); // identity: 2·2 = 4, 1 + 2 = 3; what stands beside the part is left alone
  });

  test("equations that say the same twice leave their unknown at zero, and are told", () => {
    const y = Float64Array.of(2, 4);
    expect(solveInPlace(Float64Array.of(1, 1, 2, 2), y)).toBe(false);
    expect(y[0] + y[1]).toBeCloseTo(2, 12);
    expect(solveInPlace(Float64Array.of(1, 2, 2, 4), Float64Array.of(1, 2), 2, 2, 0)).toBe(false);
  });

  test("a pivot that is small beside the largest entry is lost only where that is asked for", () => {
    const tiny = () => Float64Array.of(1, 0, 0, 1e-20);
    const y = Float64Array.of(1, 1e-20);
    expect(solveInPlace(tiny(), y, 2, 2, 0)).toBe(true);
    same(y, [1, 1]);
    expect(solveInPlace(tiny(), Float64Array.of(1, 1e-20))).toBe(false);
  });
});

describe("Cholesky", () => {
  /** B·Bᵀ + 1, positive definite. */
  const positive = (n: number) => {
    const B = matrixOf(square(n), n);
    return Float64Array.from(B.mmul(B.transpose()).add(Matrix.eye(n)).to1DArray());
  };

  test.each(sizes)("factor, solution and inverse are those of ml-matrix, n = %d", (n) => {
    const A = positive(n);
    const L = A.slice();
    expect(factorInPlace(L, n)).toBe(true);
    const lower = new CholeskyDecomposition(matrixOf(A, n)).lowerTriangularMatrix; // independent
    for (let r = 0; r < n; r++) {
      for (let q = 0; q < n; q++)
        expect(L[r * n + q]).toBeCloseTo(q <= r ? lower.get(r, q) : A[r * n + q], 8);
    }
    const x = Float64Array.from({ length: n }, spread);
    const y = times(A, x);
    solveFactored(L, y);
    same(y, x); // identity
    same(inverseOfFactored(L, n), inverse(matrixOf(A, n)).to1DArray());
  });

  test.each([
    ["negative", Float64Array.of(-1)],
    ["indefinite", Float64Array.of(1, 2, 2, 1)],
    ["not a number", Float64Array.of(1, Number.NaN, Number.NaN, 1)],
  ])("a matrix that is %s is reported", (_, A) => expect(factorInPlace(A, Math.sqrt(A.length))).toBe(false));
});

test("a 3×3 matrix times its inverse is the unit matrix", () => {
  for (let trial = 0; trial < 20; trial++) {
    const m = square(3);
    same(product3(m, inverse3(m)), [1, 0, 0, 0, 1, 0, 0, 0, 1]); // identity
    same(inverse3(m), inverse(matrixOf(m, 3)).to1DArray());
    const other = square(3);
    same(product3(m, other), matrixOf(m, 3).mmul(matrixOf(other, 3)).to1DArray());
  }
});
