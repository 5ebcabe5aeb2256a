import { describe, expect, test } from "vitest";
import { filmReflectance, filmRT, reflectivity } from "../../src/optics/film.ts";
import {
  diffuseTransmittanceExact,
  exponentialIntegral3,
  modelDoubt,
  twoFluxShortfall,
} from "../../src/optics/modelError.ts";
import { diffuseTransmittanceTwoFlux, semiInfinite } from "./halfSpace.ts";

/** Two-flux reflectance of a slab of albedo ω and optical thickness τ with K = 2k, S = ¾s (Mudgett, Richards 1971). */
const twoFlux = (albedo: number, tau: number, Rg: number): number =>
  filmReflectance(2 * (1 - albedo), 0.75 * albedo, tau, Rg);

describe("exact absorption of diffuse light", () => {
  test.each([
    // source: definition of E₃, Chandrasekhar 1950, appendix I; tolerance 5.1e-6: printed digits
    [0.1, 0.83258, 0.81873],
    [0.25, 0.64937, 0.60653],
    [0.5, 0.44321, 0.36788],
    [1, 0.21938, 0.13534],
    [2, 0.06027, 0.01832],
  ])("optical thickness %d: 2E₃ = %d against %d", (tau, exact, flux) => {
    expect(Math.abs(diffuseTransmittanceExact(tau) - exact)).toBeLessThan(5.1e-6);
    expect(Math.abs(diffuseTransmittanceTwoFlux(tau) - flux)).toBeLessThan(5.1e-6);
    // identity: two-flux theory of a pure absorber with K = 2k, there and back over a perfect white
    expect(filmReflectance(2, 0, tau, 1)).toBeCloseTo(diffuseTransmittanceTwoFlux(tau) ** 2, 13);
  });

  test("E₃ is its integral, on both sides of the change of method", () => {
    // independent method: E₃(τ) = ∫₀¹ μ·e^(−τ/μ) dμ by Simpson's rule; 1e-11: error of the rule
    for (const tau of [0.05, 0.5, 0.999, 1, 1.001, 3, 20]) {
      const n = 20000;
      let sum = 0;
      for (let i = 1; i <= n; i++) {
        const mu = i / n;
        sum += (i === n ? 1 : i % 2 === 1 ? 4 : 2) * mu * Math.exp(-tau / mu);
      }
      expect(Math.abs(exponentialIntegral3(tau) - sum / (3 * n))).toBeLessThan(1e-11);
    }
    expect(exponentialIntegral3(0)).toBe(0.5); // identity
    expect(exponentialIntegral3(1e4)).toBe(0); // identity: underflow, not an error
    expect(() => exponentialIntegral3(-1)).toThrow(RangeError);
  });

  test("two-flux theory is 17 % low at optical thickness 0.5 and 38 % at 1", () => {
    // source: Chandrasekhar 1950 against Kubelka, Munk 1931, from the numbers above
    const low = (tau: number) =>
      100 * (1 - diffuseTransmittanceTwoFlux(tau) / diffuseTransmittanceExact(tau));
    expect(Math.round(low(0.5))).toBe(17);
    expect(Math.round(low(1))).toBe(38);
  });
});

describe("infinitely thick medium with isotropic scattering", () => {
  // source: Chandrasekhar 1950, H-functions; two-flux with K/S = (8/3)k/s and 2k/s; tolerance 1e-5: printed digits
  test.each([
    [0.2, 1.07865, 0.03523, 0.04626, 0.04294, 0.05573],
    [0.5, 1.25126, 0.11523, 0.14654, 0.139, 0.17157],
    [0.9, 1.8501, 0.41495, 0.47802, 0.47144, 0.51949],
    [0.95, 2.07712, 0.53554, 0.59667, 0.59226, 0.63451],
    [0.99, 2.47279, 0.75272, 0.79456, 0.79327, 0.81818],
    [0.999, 2.75607, 0.91285, 0.92971, 0.92955, 0.93869],
  ])("albedo %d", (albedo, H1, normal, diffuse, flux, fluxDoubled) => {
    const exact = semiInfinite(albedo);
    expect(Math.abs(exact.H1 - H1)).toBeLessThan(1e-5);
    expect(Math.abs(exact.normal - normal)).toBeLessThan(1e-5);
    expect(Math.abs(exact.diffuse - diffuse)).toBeLessThan(1e-5);
    const ratio = (1 - albedo) / albedo;
    expect(Math.abs(reflectivity((8 / 3) * ratio, 1) - flux)).toBeLessThan(1e-5);
    expect(Math.abs(reflectivity(2 * ratio, 1) - fluxDoubled)).toBeLessThan(1e-5);
    // source: Chandrasekhar 1950, α₀ = 2(1 − √(1 − ω))/ω; 1e-6: quadrature near μ = 0
    expect(Math.abs(exact.moments[0] - (2 * (1 - Math.sqrt(1 - albedo))) / albedo)).toBeLessThan(1e-6);
  });

  test("conservative scattering", () => {
    // source: Chandrasekhar 1950, table of H-functions: H(1) = 2.9078, α₀ = 2, α₁ = 2/√3
    const { H1, moments, normal, diffuse } = semiInfinite(1);
    expect(Math.abs(H1 - 2.90781)).toBeLessThan(1e-5);
    expect(Math.abs(moments[0] - 2)).toBeLessThan(1e-5);
    expect(Math.abs(moments[1] - 2 / Math.sqrt(3))).toBeLessThan(1e-5);
    expect([normal, diffuse]).toEqual([1, 1]);
  });

  test("a medium that scatters nothing is black", () => {
    const { H1, normal, diffuse } = semiInfinite(0);
    expect(H1).toBe(1); // identity
    expect(normal).toBe(0);
    expect(diffuse).toBeCloseTo(0, 14);
  });
});

describe("slabs over a ground, two-flux theory against exact multiple scattering", () => {
  // source: isotropic radiative transfer (Chandrasekhar 1950) by the adding method with 32 streams, given as numbers;
  // two-flux values are ours. Tolerances: 5.1e-6 and 0.051 %, printed digits.
  const slabs: [albedo: number, tau: number, Rg: number, exact: number, flux: number, percent: number][] = [
    [1, 0.5, 0, 0.29583, 0.27273, -7.8],
    [1, 1, 0, 0.44659, 0.42857, -4],
    [1, 4, 0, 0.75403, 0.75, -0.5],
    [0.9, 1, 0, 0.35271, 0.34155, -3.2],
    [0.9, 4, 0, 0.47319, 0.46717, -1.3],
    [0.5, 0.5, 0.8, 0.35823, 0.32806, -8.4],
    [0.5, 1, 0.8, 0.21847, 0.19037, -12.9],
    [0.5, 2, 0.8, 0.15546, 0.14267, -8.2],
    [0.9, 1, 0.8, 0.6039, 0.596, -1.3],
    [0.2, 0.5, 0.8, 0.22265, 0.179, -19.6],
    [0.2, 1, 0.8, 0.09422, 0.06685, -29.1],
  ];
  test.each(slabs)("albedo %d, optical thickness %d over %d", (albedo, tau, Rg, exact, flux, percent) => {
    const R = twoFlux(albedo, tau, Rg);
    expect(Math.abs(R - flux)).toBeLessThan(5.1e-6);
    expect(Math.abs(100 * (R / exact - 1) - percent)).toBeLessThan(0.051);
  });

  test.each(slabs.filter(([, , Rg]) => Rg === 0.8))(
    "the estimate of the shortfall is near the exact one: albedo %d, optical thickness %d",
    (albedo, tau, _, exact, flux) => {
      const estimate = twoFluxShortfall(2 * (1 - albedo), 0.75 * albedo, tau);
      expect(estimate / (exact - flux)).toBeGreaterThan(0.9);
      expect(estimate / (exact - flux)).toBeLessThan(1.45);
    },
  );

  test("slab of albedo 0.5 and optical thickness 1: where two-flux theory stands", () => {
    // source: van de Hulst 1980, adding method: exact diffuse R = 0.13417, T = 0.30671. Two-flux theory by hand:
    // a = 1.375, B = √1.75, R = S/(a + B·coth B) = 0.12932, T = B/(a·sinh B + B·cosh B) = 0.2616; so 3.6 % and 14.7 %
    // low. Tolerance 0.05 %: digits of the hand calculation.
    const [R, T] = filmRT(1, 0.375, 1);
    expect(R).toBeCloseTo(twoFlux(0.5, 1, 0), 15);
    expect(Math.abs(100 * (1 - R / 0.13417) - 3.6)).toBeLessThan(0.05);
    expect(Math.abs(100 * (1 - T / 0.30671) - 14.7)).toBeLessThan(0.05);
  });
});

describe("the note in words", () => {
  test("a thin strongly absorbing coat over a light ground is doubtful", () => {
    // source: exact multiple scattering (Chandrasekhar 1950): albedo 0.2, optical thickness 0.5 is 19.6 % too dark
    expect(modelDoubt(1.6, 0.15, 0.5)).toMatch(/darker than it is, by up to about 0\.0[45]/);
  });

  test("a white, a hiding coat and no coat at all are not", () => {
    expect(modelDoubt(0.001, 0.3, 30)).toBeUndefined();
    expect(modelDoubt(0.9, 0.06, 30)).toBeUndefined();
    expect(modelDoubt(1.6, 0.15, 0)).toBeUndefined();
  });

  test("a spectrum is told by its wavelengths", () => {
    const K = new Float64Array(36).fill(0.0001);
    const S = new Float64Array(36).fill(0.02);
    for (let i = 4; i <= 18; i++) K[i] = 0.06; // 420 to 560 nm
    const note = modelDoubt(K, S, 15);
    expect(note).toContain("between 420 and 560 nm");
    expect(modelDoubt([0.06, 0.06], [0.02, 0.02], 15)).not.toContain("nm");
    expect(modelDoubt([0.06, 0], [0.02, 0.02], 15, [450, 650])).toContain("at 450 nm");
  });

  test("what cannot be is refused", () => {
    expect(() => modelDoubt([0.1], [0.1, 0.2], 1)).toThrow(TypeError);
    expect(() => modelDoubt(-1, 0.1, 1)).toThrow(RangeError);
  });
});
