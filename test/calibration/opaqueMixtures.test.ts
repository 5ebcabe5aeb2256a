import { describe, expect, test } from "vitest";
import { opaqueMixtures } from "../../src/calibration/opaqueMixtures.ts";
import { ratioFromReflectivity, reflectivity } from "../../src/optics/film.ts";

const rounded = (value: number, digits: number) => Math.round(value * 10 ** digits) / 10 ** digits;

// source: Walowit, McCarthy, Berns 1987 (method); the numbers follow from their equation by exact algebra
const series = [
  {
    name: "a red of K = 6",
    fractions: [0, 0.02, 0.05, 0.1, 0.2, 0.5, 1],
    reflectance: [0.868226, 0.601759, 0.457546, 0.33542, 0.21616, 0.086736, 0.020008],
    truth: [0.01, 6, 0.25],
    fromFourDigits: [0.00981, 6.00252, 0.25],
  },
  {
    name: "a red of K = 2.4",
    fractions: [0, 0.05, 0.15, 0.4, 1],
    reflectance: [0.819002, 0.589496, 0.415592, 0.234884, 0.079446],
    truth: [0.02, 2.4, 0.45],
    fromFourDigits: [0.02003, 2.39917, 0.44954],
  },
];

describe.each(series)("opaqueMixtures, $name", ({ fractions, reflectance, truth, fromFourDigits }) => {
  const [K_w, K_r, S_r] = truth;
  const exact = fractions.map((c) => reflectivity((1 - c) * K_w + c * K_r, 1 - c + c * S_r));
  const solve = (R: readonly number[]) => {
    const { whiteAbsorption, absorption, scattering } = opaqueMixtures(
      fractions,
      R.map(ratioFromReflectivity),
    );
    return [whiteAbsorption, absorption, scattering];
  };

  test("the stated reflectances belong to the stated coefficients", () => {
    exact.forEach((R, i) => expect(R).toBeCloseTo(reflectance[i], 6)); // six printed digits
  });

  test("full precision gives the coefficients back", () => {
    solve(exact).forEach((value, k) => expect(Math.abs(value / truth[k] - 1)).toBeLessThan(1e-9));
  });

  test("six printed digits give them within 1e-3", () => {
    solve(reflectance).forEach((value, k) => expect(Math.abs(value / truth[k] - 1)).toBeLessThan(1e-3));
  });

  test("four digits give what least squares must give", () => {
    const found = solve(exact.map((R) => rounded(R, 4)));
    found.forEach((value, k) => expect(value).toBeCloseTo(fromFourDigits[k], 5)); // five printed digits
  });
});

test("too few mixtures are refused", () => {
  expect(() => opaqueMixtures([0, 0.1, 0.1], [0.01, 1, 1])).toThrow(/at least 3/);
  expect(() => opaqueMixtures([0, 0.1], [0.01, 1, 1])).toThrow(TypeError);
  expect(() => opaqueMixtures([0, 0.1, 1.2], [0.01, 1, 1])).toThrow(/share of the paint = 1.2/);
});
