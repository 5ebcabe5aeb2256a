import { Matrix, solve } from "ml-matrix";
import { describe, expect, test } from "vitest";
import { createArrowSystem, factorArrow, solveBand, solveFactored } from "../../src/fit/arrowSystem.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";

/** A random positive definite arrow and the same as a dense matrix. */
function randomArrow(n: number, w: number, p: number, seed: number) {
  const random = seededRandom(seed);
  const system = createArrowSystem(n, w, p);
  const dense = Matrix.zeros(n + p, n + p);
  const put = (a: number, b: number, value: number) => {
    dense.set(a, b, value);
    dense.set(b, a, value);
    if (a < n) system.band[a * (w + 1) + a - b] = value;
    else if (b < n) system.border[b * p + a - n] = value;
    else {
      system.corner[(a - n) * p + b - n] = value;
      system.corner[(b - n) * p + a - n] = value;
    }
  };
  for (let a = 0; a < n + p; a++) {
    for (let b = 0; b < a; b++) if (a >= n || a - b <= w) put(a, b, random() - 0.5);
    put(a, a, n + p); // larger than the sum of a row: positive definite
  }
  for (let a = 0; a < n + p; a++) {
    const value = random() - 0.5;
    if (a < n) system.localSide[a] = value;
    else system.sharedSide[a - n] = value;
  }
  return { system, dense, side: [...system.localSide, ...system.sharedSide] };
}

describe("arrow systems", () => {
  test.each([
    [12, 1, 3],
    [20, 4, 0],
    [7, 6, 2],
    [72, 8, 13],
  ])("n %d, half bandwidth %d, %d shared: same as a dense solve", (n, w, p) => {
    const { system, dense, side } = randomArrow(n, w, p, n + w + p);
    const expected = solve(dense, Matrix.columnVector(side)).getColumn(0); // independent: dense LU of ml-matrix
    expect(factorArrow(system)).toBe(true);
    const local = new Float64Array(n);
    const shared = new Float64Array(p);
    solveFactored(system, local, shared);
    [...local, ...shared].forEach((value, k) => expect(value).toBeCloseTo(expected[k], 12));
    const column = new Float64Array(n).fill(0);
    column[n - 1] = 1;
    solveBand(system, column);
    const inner = solve(
      dense.subMatrix(0, n - 1, 0, n - 1),
      Matrix.columnVector([...new Array(n - 1).fill(0), 1]),
    );
    column.forEach((value, k) => expect(value).toBeCloseTo(inner.get(k, 0), 12));
  });

  test("a matrix that is not positive definite is reported", () => {
    const { system } = randomArrow(6, 2, 2, 5);
    system.band[3 * 3] = -1;
    expect(factorArrow(system)).toBe(false);
  });
});
