import { describe, expect, test } from "vitest";
import { calibrate } from "../../src/calibration/calibrate.ts";
import type { CalibrationProblem, Drawdown, Thickness } from "../../src/calibration/problem.ts";
import { usualCalibrationOptions } from "../../src/calibration/result.ts";
import { filmReflectance } from "../../src/optics/film.ts";

// One wavelength, no surface, everything exact: the calibration has to do what the two-ground inversion does.

const bare = { externalReflection: 0, internalReflection: 0 };
const options = { ...usualCalibrationOptions, noise: "stated" as const };

function problemOf(
  grounds: readonly number[],
  films: readonly { label: string; X: number | "unknown"; R: readonly number[] }[],
  thicknessSigma = 0.001,
): CalibrationProblem {
  const one = (value: number) => Float64Array.of(value);
  return {
    companions: [],
    grounds: grounds.map((Rg, g) => ({
      name: g === 0 ? "black" : "white",
      reflectance: one(Rg),
      mode: "internal",
      sigma: one(0),
    })),
    drawdowns: films.map(({ label, X, R }): Drawdown => {
      const thickness: Thickness =
        X === "unknown" ? { kind: "unknown" } : { kind: "known", value: X, relativeSigma: thicknessSigma };
      const readings = R.map((value, ground) => ({
        ground,
        specular: "included" as const,
        reflectance: one(value),
        sigma: one(1e-6), // six printed digits
      }));
      return { label, fractions: one(1), thickness, readings };
    }),
    surface: bare,
    thicknessUnit: "µm",
  };
}

const coefficients = (problem: CalibrationProblem) => {
  const result = calibrate(problem, options, [560]);
  expect(result.search.status).toBe("converged");
  return { K: result.curves!.absorption[0], S: result.curves!.scattering[0], result };
};

describe("a film over two grounds", () => {
  test.each([
    // source: two-ground solution of Kubelka 1948 (same purpose as ASTM D2805); reflectances printed to eight digits
    ["grounds 0 and 0.8", [0, 0.8], [0.14018754, 0.17473369], 1.2, 0.48],
    ["grounds 0.05 and 0.82", [0.05, 0.82], [0.14211806, 0.17570952], 1.2, 0.48],
    ["a strong scatterer, grounds 0 and 0.8", [0, 0.8], [0.76413958, 0.8], 0.12, 4.8],
    ["a strong scatterer, grounds 0.05 and 0.82", [0.05, 0.82], [0.76504534, 0.8024009], 0.12, 4.8],
  ])("%s", (_, grounds, R, KX, SX) => {
    const { K, S } = coefficients(problemOf(grounds, [{ label: "film", X: 1, R }]));
    expect(K).toBeCloseTo(KX, 5);
    expect(S).toBeCloseTo(SX, 5);
    expect(1 + K / S).toBeCloseTo(1 + KX / SX, 5);
  });

  test("a black result stays finite", () => {
    const R = [0, 0.8].map((Rg) => filmReflectance(3, 0, 1, Rg));
    const { K, S } = coefficients(problemOf([0, 0.8], [{ label: "film", X: 1, R }]));
    expect(K).toBeCloseTo(3, 5); // identity: Rg·e^(−2KX)
    expect(S).toBeLessThan(1e-5);
  });

  test("a film that all but hides is said to show only the ratio", () => {
    const R = [0, 0.8].map((Rg) => filmReflectance(1.2, 0.48, 20, Rg));
    const result = calibrate(problemOf([0, 0.8], [{ label: "film", X: 20, R }]), options, [560]);
    expect(result.status).toBe("refused");
    expect(result.findings.map(({ code }) => code)).toContain("only-the-ratio");
  });
});

describe("two thicknesses over black 0.04 and white 0.83", () => {
  // source: two-ground solution of Kubelka 1948; reflectances printed to six digits, K = 1.8, S = 0.22
  const thin = { label: "thin", X: 0.5, R: [0.052657, 0.162694] };
  const thick = { label: "thick", X: 1, R: [0.054355, 0.069203] };

  test.each([
    ["the thin film alone", [thin]],
    ["the thick film alone", [thick]],
    ["both", [thin, thick]],
  ])("%s gives K and S", (_, films) => {
    const { K, S, result } = coefficients(problemOf([0.04, 0.83], films));
    expect(Math.abs(K / 1.8 - 1)).toBeLessThan(1e-3); // six printed digits
    expect(Math.abs(S / 0.22 - 1)).toBeLessThan(1e-3);
    expect(result.findings.map(({ code }) => code)).not.toContain("thickness-disagrees");
  });

  test("a thickness stated 10 % too low: its own pair gives larger coefficients", () => {
    const { K, S } = coefficients(problemOf([0.04, 0.83], [{ ...thick, X: 0.9 }]));
    expect(Math.abs(K / 2 - 1)).toBeLessThan(1e-3);
    expect(Math.abs(S / 0.24444 - 1)).toBeLessThan(1e-3);
  });

  test("and the disagreement of the pairs is said, with its factor", () => {
    const { result } = coefficients(problemOf([0.04, 0.83], [thin, { ...thick, X: 0.9 }], 0.01));
    const found = result.findings.filter(({ code }) => code === "thickness-disagrees");
    expect(found.flatMap(({ drawdowns }) => drawdowns)).toEqual(["thin", "thick"]);
    expect(found[1].text).toContain("factor 1.11");
    expect(found[0].text).toContain("factor 0.90");
    expect(result.drawdowns[1].thicknessFactor).toBeCloseTo(1 / 0.9, 3);
  });
});
