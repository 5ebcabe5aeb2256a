import { describe, expect, test } from "vitest";
import { addRow, combined, noEquations, solveNormal } from "../../src/fit/leastSquares.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";

describe("least squares", () => {
  const draw = seededRandom(3);
  const rows = Array.from({ length: 12 }, () => [draw(), draw(), draw()]);
  const equations = (some: readonly (readonly number[])[]) => {
    const sum = noEquations(3);
    for (const row of some) addRow(sum, row, 2 * row[0] - row[1] + 0.5 * row[2]);
    return sum;
  };

  test("a known solution comes back", () => {
    [2, -1, 0.5].forEach((value, i) => {
      expect(solveNormal(equations(rows), [0, 0, 0], 1e-12)[i]).toBeCloseTo(value, 9);
    });
  });

  test("equations taken out again leave no trace", () => {
    const less = combined(equations(rows), equations(rows.slice(0, 4)), -1);
    less.matrix.forEach((value, i) => {
      expect(value).toBeCloseTo(equations(rows.slice(4)).matrix[i], 12);
    });
  });

  test("where nothing is said the start stays; a system that says too little without a pull is refused", () => {
    const one = noEquations(2);
    addRow(one, [1, 0], 3);
    const found = solveNormal(one, [1, 7], 1e-9);
    expect(found[0]).toBeCloseTo(3, 6);
    expect(found[1]).toBe(7);
    expect(() => solveNormal(one, [1, 7], 0)).toThrow(RangeError);
  });
});
