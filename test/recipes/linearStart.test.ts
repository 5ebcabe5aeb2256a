import { describe, expect, test } from "vitest";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { boundedLeastSquares } from "../../src/recipes/linearStart.ts";

/**
 * Shares of colorants that give an opaque film the K/S ratio q at each wavelength: Σ cⱼ(Kⱼ − q·Sⱼ) = 0 with Σ c = 1, c ≥ 0,
 * in the sense of least squares.
 *
 * @param K, S one row for each wavelength, one column for each colorant   @param ratios q at each wavelength
 * @param rowWeights weight of each wavelength; all 1 when left out
 * Source: Allen 1974, two-constant matching, linear form.
 */
function twoConstantShares(
  K: readonly ArrayLike<number>[],
  S: readonly ArrayLike<number>[],
  ratios: ArrayLike<number>,
  rowWeights?: ArrayLike<number>,
): Float64Array {
  const variables = K[0].length;
  const A = new Float64Array(ratios.length * variables);
  for (let r = 0; r < ratios.length; r++) {
    const w = rowWeights?.[r] ?? 1;
    for (let i = 0; i < variables; i++) A[r * variables + i] = w * (K[r][i] - ratios[r] * S[r][i]);
  }
  return boundedLeastSquares({ A, y: new Float64Array(ratios.length), variables, sum: 1 });
}

/**
 * Concentrations of dyes that bring a substrate's K/S to a target: Σ cⱼ·kⱼ = target − substrate, c ≥ 0, in the sense of
 * least squares.
 *
 * @param units K/S of one unit of each dye, one row for each wavelength
 * Source: Allen 1966, single-constant matching.
 */
function singleConstantAmounts(
  substrate: ArrayLike<number>,
  units: readonly ArrayLike<number>[],
  target: ArrayLike<number>,
): Float64Array {
  const variables = units[0].length;
  const A = Float64Array.from(units.flatMap((row) => Array.from(row)));
  const y = Float64Array.from({ length: target.length }, (_, r) => target[r] - substrate[r]);
  return boundedLeastSquares({ A, y, variables });
}

describe("linear matching", () => {
  test("two-constant shares of three colorants at two wavelengths", () => {
    const K = [
      [0.02, 5.0, 1.0],
      [0.01, 0.4, 3.0],
    ];
    const S = [
      [1.0, 0.3, 0.5],
      [1.0, 0.35, 0.4],
    ];
    const q = [0.161412, 0.359132].map((R) => (1 - R) ** 2 / (2 * R));
    const shares = twoConstantShares(K, S, q);
    // source: Allen 1974, two-constant matching, linear form (values derived; the reflectances are given to six decimals)
    [0.6, 0.3, 0.1].forEach((c, i) => {
      expect(Math.abs(shares[i] - c)).toBeLessThan(1e-5);
    });
  });

  test("single-constant concentrations of two dyes", () => {
    const amounts = singleConstantAmounts(
      [0.05, 0.05],
      [
        [4.0, 0.6],
        [0.3, 5.0],
      ],
      [0.554, 0.286],
    );
    // source: Allen 1966, single-constant matching: c·(4.0, 0.3) + c·(0.6, 5.0) on 0.05 gives 0.5540, 0.2860 (exact decimals)
    expect(amounts[0]).toBeCloseTo(0.12, 9);
    expect(amounts[1]).toBeCloseTo(0.04, 9);
  });

  test("a colour that would need a negative dye gets none of it", () => {
    const amounts = singleConstantAmounts([0.05], [[4.0, 0.6]], [0.01]);
    expect([...amounts]).toEqual([0, 0]); // identity: all K/S add, the substrate is already too dark
  });

  test("near-collinear columns still give the least squares", () => {
    const random = seededRandom(8);
    for (let trial = 0; trial < 40; trial++) {
      // Two columns that differ by 1e-4, a third apart.
      const rows = 12;
      const A = new Float64Array(rows * 3);
      for (let r = 0; r < rows; r++) {
        A[3 * r] = random();
        A[3 * r + 1] = A[3 * r] * (1 + 1e-4 * random());
        A[3 * r + 2] = random();
      }
      const truth = [0.2 + random(), 0.2 + random(), 0.2 + random()];
      const y = Float64Array.from({ length: rows }, (_, r) =>
        truth.reduce((sum, c, i) => sum + c * A[3 * r + i], 0),
      );
      const x = boundedLeastSquares({ A, y, variables: 3 });
      let miss = 0;
      for (let r = 0; r < rows; r++) {
        let sum = -y[r];
        for (let i = 0; i < 3; i++) sum += A[3 * r + i] * x[i];
        miss += sum * sum;
      }
      // identity: an exact solution exists, so the least squares are zero (to the ridge of 1e-12)
      expect(Math.sqrt(miss)).toBeLessThan(1e-5);
      expect(x.every((v) => v >= 0)).toBe(true);
    }
  });

  test("a sum out of the limits' reach is refused", () => {
    expect(() => boundedLeastSquares({ A: [1, 1], y: [1], variables: 2, high: [0.2, 0.2], sum: 1 })).toThrow(
      "sum = 1: must be from 0 to 0.4",
    );
  });
});
