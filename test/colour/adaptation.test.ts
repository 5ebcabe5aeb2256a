import { describe, expect, test } from "vitest";
import { adapt, bradfordMatrix } from "../../src/colour/adaptation.ts";
import { chromaticityToXYZ } from "../../src/colour/XYZ.ts";

describe("bradfordMatrix", () => {
  test.each([
    // source: widely published matrix D65 to D50 from the Lam & Rigg cone matrix and the ASTM E308 whites; seven decimals
    [
      "whites of ASTM E308",
      [0.95047, 1, 1.08883],
      [0.96422, 1, 0.82521],
      [1.0478112, 0.0228866, -0.050127, 0.0295424, 0.9904844, -0.0170491, -0.0092345, 0.0150436, 0.7521316],
    ],
    // source: CSS Color 4, matrix D65 to D50 from chromaticities of four decimals, recomputed; seven decimals
    [
      "whites by chromaticity",
      chromaticityToXYZ(0.3127, 0.329),
      chromaticityToXYZ(0.3457, 0.3585),
      [1.0479298, 0.0229469, -0.0501923, 0.0296278, 0.9904344, -0.0170738, -0.009243, 0.0150552, 0.7518743],
    ],
  ] as const)("D65 to D50, %s", (_, from, to, expected) => {
    // Tolerance: the last printed digit.
    bradfordMatrix(from, to).forEach((value, i) => {
      expect(Math.abs(value - expected[i])).toBeLessThan(1e-7);
    });
  });

  test("carries white to white, and back again to where it was", () => {
    // identity
    const from = [109.85, 100, 35.58];
    const to = [95.047, 100, 108.883];
    adapt(from, bradfordMatrix(from, to), new Float64Array(3)).forEach((value, i) => {
      expect(value).toBeCloseTo(to[i], 10);
    });
    const there = adapt([20, 12, 5], bradfordMatrix(from, to), new Float64Array(3));
    adapt(there, bradfordMatrix(to, from), there).forEach((value, i) => {
      expect(value).toBeCloseTo([20, 12, 5][i], 11);
    });
  });

  test("refuses a white that is not one", () => {
    expect(() => bradfordMatrix([95, 100], [96, 100, 82])).toThrow(TypeError);
    expect(() => bradfordMatrix([95, 100, Number.NaN], [96, 100, 82])).toThrow(RangeError);
  });
});
