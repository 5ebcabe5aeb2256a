import { CholeskyDecomposition, Matrix, solve } from "ml-matrix";
import { expect, test } from "vitest";
import {
  addTo,
  arrowPattern,
  copyBlockArrow,
  createBlockArrow,
  factorBlockArrow,
  solveLowerArrow,
  solveUpperArrow,
} from "../../src/fit/blockArrow.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";

/** Groups of one to three unknowns scattered among the rest, and the same matrix whole. */
function example(ofDiagonal = 1) {
  const random = seededRandom(7);
  const groups = [[3], [5, 6, 9], [11, 4], [12]];
  const meets = [[0, 8], [1, 2, 13], [0, 1, 7, 13], []];
  const size = 14;
  const matrix = createBlockArrow(arrowPattern(size, groups, meets));
  const whole = Matrix.zeros(size, size);
  const put = (i: number, j: number, value: number) => {
    addTo(matrix, i, j, value);
    whole.set(i, j, value);
    whole.set(j, i, value);
  };
  const { rest } = matrix.pattern;
  const own = [[...rest], ...groups];
  for (const unknowns of own) {
    for (const i of unknowns) for (const j of unknowns) if (j < i) put(i, j, random() - 0.5);
  }
  groups.forEach((unknowns, g) => {
    for (const i of unknowns) for (const j of meets[g]) put(i, j, random() - 0.5);
  });
  // larger than the sum of a row: positive definite
  for (let i = 0; i < size; i++) put(i, i, size);
  const factor = createBlockArrow(matrix.pattern);
  copyBlockArrow(matrix, factor, ofDiagonal);
  for (let i = 0; i < size; i++) whole.set(i, i, size * ofDiagonal);
  return { factor, whole, size, room: new Float64Array(rest.length), random };
}

test("solves as the whole matrix does", () => {
  // independent: LU of ml-matrix
  const { factor, whole, size, room, random } = example(1.5);
  expect(factorBlockArrow(factor)).toBe(true);
  const y = Float64Array.from({ length: size }, () => random() - 0.5);
  const expected = solve(whole, Matrix.columnVector([...y])).getColumn(0);
  solveLowerArrow(factor, y, room);
  solveUpperArrow(factor, y, room);
  y.forEach((value, i) => expect(value).toBeCloseTo(expected[i], 12));
});

test("both halves belong to one factor, and its square is the matrix", () => {
  // identity: (Lᵀ)⁻¹ is the transpose of L⁻¹, and (Lᵀ)⁻¹·L⁻¹ the inverse
  const { factor, whole, size, room } = example();
  factorBlockArrow(factor);
  const unit = (i: number) => new Float64Array(size).fill(1, i, i + 1);
  const lower = Array.from({ length: size }, (_, i) => {
    const y = unit(i);
    solveLowerArrow(factor, y, room);
    return y;
  });
  const upper = Array.from({ length: size }, (_, i) => {
    const z = unit(i);
    solveUpperArrow(factor, z, room);
    return z;
  });
  const inverse = new CholeskyDecomposition(whole).solve(Matrix.eye(size));
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      expect(upper[i][j]).toBeCloseTo(lower[j][i], 12);
      const product = lower[i].reduce((sum, value, k) => sum + value * lower[j][k], 0);
      expect(product).toBeCloseTo(inverse.get(i, j), 12);
    }
  }
});

test("a matrix that is not positive definite is reported", () => {
  for (const unknown of [6, 13]) {
    const { factor } = example();
    addTo(factor, unknown, unknown, -30);
    expect(factorBlockArrow(factor)).toBe(false);
  }
});
