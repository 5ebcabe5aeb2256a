import { describe, expect, test } from "vitest";
import {
  criticalCosine,
  diffuseExternalReflectance,
  diffuseInternalReflectance,
  normalReflectance,
  rayReflectance,
} from "./fresnel.ts";

// source: Judd 1942 (Fresnel reflection of diffusely incident light), RP 1504; computed, tolerance 1e-6: printed digits
const surfaces = [
  [1.3, 0.017013, 0.061132, 0.444457],
  [1.4, 0.027778, 0.076812, 0.528985],
  [1.45, 0.033736, 0.084367, 0.564503],
  [1.5, 0.04, 0.091778, 0.596346],
  [1.55, 0.046521, 0.099066, 0.625001],
  [1.6, 0.053254, 0.106246, 0.650877],
  [1.7, 0.067215, 0.12032, 0.695612],
] as const;

/** Lambertian mean of the single-ray reflectance, ∫R·2μ dμ, by Simpson's rule on both sides of a kink. */
function meanOfRays(from: number, to: number): number {
  const kink = from > to ? Math.sqrt(1 - (to / from) ** 2) : 0;
  // below the kink everything is reflected; above, μ = kink + (1 − kink)t³ smooths the root at the kink
  const n = 4000;
  let sum = 0;
  for (let i = 0; i <= n; i++) {
    const t = i / n;
    const mu = kink + (1 - kink) * t ** 3;
    const weight = i === 0 || i === n ? 1 : i % 2 === 1 ? 4 : 2;
    sum += weight * rayReflectance(from, to, Math.min(mu, 1)) * 2 * mu * (1 - kink) * 3 * t * t;
  }
  return kink * kink + sum / (3 * n);
}

describe.each(surfaces)("film of index %d", (n, normal, external, internal) => {
  test("printed values", () => {
    expect(Math.abs(normalReflectance(n) - normal)).toBeLessThan(1e-6);
    expect(Math.abs(diffuseExternalReflectance(n) - external)).toBeLessThan(1e-6);
    expect(Math.abs(diffuseInternalReflectance(n) - internal)).toBeLessThan(1e-6);
  });

  test("the closed form is the mean over single rays, from outside and from inside", () => {
    // independent method: numerical integration of Fresnel's equations; 1e-9: error of the rule
    expect(Math.abs(diffuseExternalReflectance(n) - meanOfRays(1, n))).toBeLessThan(1e-9);
    expect(Math.abs(diffuseInternalReflectance(n) - meanOfRays(n, 1))).toBeLessThan(1e-9);
    // identity: 1 − r_int = (1 − r_ext)/n²
    expect(Math.abs(1 - meanOfRays(n, 1) - (1 - meanOfRays(1, n)) / n ** 2)).toBeLessThan(1e-9);
  });
});

test("published roundings for index 1.5", () => {
  // source: Judd 1942, 0.092 and 0.596 (recalled); tolerance 0.001
  expect(Math.abs(diffuseExternalReflectance(1.5) - 0.092)).toBeLessThan(0.001);
  expect(Math.abs(diffuseInternalReflectance(1.5) - 0.596)).toBeLessThan(0.001);
});

test("a range of indices where the closed form keeps its digits", () => {
  // independent method: numerical integration. 1e-7 at 1.01, where (n⁴ − 1)² ≈ 0.0016 takes digits away
  for (const n of [1.01, 1.05, 2, 5, 10]) {
    expect(Math.abs(diffuseExternalReflectance(n) - meanOfRays(1, n))).toBeLessThan(1e-7);
  }
  expect(() => diffuseExternalReflectance(1)).toThrow(RangeError);
});

describe("single rays", () => {
  // source: Fresnel's equations; values also in the test suite of the radiative-transport library iadpython
  test.each([
    [1, 1.5, 0.5, 0.0891867],
    [1, 1.5, 0.2, 0.338894],
    [1.5, 1, 0.8, 0.1141411],
  ])("from %d to %d at cosine %d", (from, to, cosine, expected) => {
    expect(Math.abs(rayReflectance(from, to, cosine) - expected)).toBeLessThan(1e-5);
  });

  test("total reflection beyond the critical angle", () => {
    expect(Math.abs(criticalCosine(1.5) - 0.745356)).toBeLessThan(1e-6);
    expect(rayReflectance(1.5, 1, 0.7453)).toBe(1);
    expect(rayReflectance(1.5, 1, 0.7454)).toBeLessThan(1);
  });

  test("ends", () => {
    expect(rayReflectance(1, 1.5, 1)).toBeCloseTo(normalReflectance(1.5), 15); // identity
    expect(rayReflectance(1, 1.5, 0)).toBeCloseTo(1, 15); // identity: grazing light is all reflected
    expect(rayReflectance(1.5, 1.5, 0.3)).toBeCloseTo(0, 15); // identity: no boundary
    expect(() => rayReflectance(1, 1.5, 1.2)).toThrow(RangeError);
    expect(() => rayReflectance(0, 1.5, 0.2)).toThrow(RangeError);
  });
});

test.each([
  // source: table of refractive indices against a binder of 1.50, reflectance × 100 (university coatings course)
  ["rutile", 2.71, 8.26],
  ["anatase", 2.55, 6.72],
  ["zinc oxide", 2.01, 2.11],
  ["calcium carbonate", 1.65, 0.23],
])("%s in a binder", (_, index, percent) => {
  expect(Math.abs(100 * normalReflectance(index, 1.5) - percent)).toBeLessThan(0.005);
});
