import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { filmReflectance } from "../../src/optics/film.ts";
import { invertTwoGrounds } from "../../src/optics/inversion.ts";
import { opacity, scatteringPowerFromReflectances, sheetCoefficients } from "./sheet.ts";

const seed = 19310593;

function invert(overBlack: number, overWhite: number, black: number, white: number, noise = 1e-6) {
  const { absorptionPower, scatteringPower, a, status } = invertTwoGrounds({
    overBlack: [overBlack],
    overWhite: [overWhite],
    black: [black],
    white: [white],
    noise,
  });
  return { KX: absorptionPower[0], SX: scatteringPower[0], a: a[0], status: status[0] };
}

describe("inversion over two grounds", () => {
  // source: Kubelka 1948 solved for two grounds (purpose of ASTM D2805); tolerance 1e-5: printed digits of R
  test.each([
    [0.14018754, 0.17473369, 0, 0.8, 3.5, 0.48, 1.2],
    [0.14211806, 0.17570952, 0.05, 0.82, 3.5, 0.48, 1.2],
    [0.76413958, 0.8, 0, 0.8, 1.025, 4.8, 0.12],
    [0.76504534, 0.8024009, 0.05, 0.82, 1.025, 4.8, 0.12],
  ])("%d and %d over %d and %d", (overBlack, overWhite, black, white, a, SX, KX) => {
    const found = invert(overBlack, overWhite, black, white);
    expect(found.status).toBe("determined");
    expect(Math.abs(found.a - a)).toBeLessThan(1e-5);
    expect(Math.abs(found.SX - SX)).toBeLessThan(1e-5);
    expect(Math.abs(found.KX - KX)).toBeLessThan(1e-5);
  });

  test("agrees with the usual form over a and arcoth", () => {
    // source: Kubelka 1948: a = [(Rw−Rb)(1+RgbRgw) − (Rgw−Rgb)(1+RbRw)]/2(RwRgb − RbRgw),
    // SX = [arcoth((a−R)/b) − arcoth((a−Rg)/b)]/b; 1e-9: cancellation in that form
    const [Rb, Rw, gb, gw] = [0.21, 0.34, 0.04, 0.83];
    const a = ((Rw - Rb) * (1 + gb * gw) - (gw - gb) * (1 + Rb * Rw)) / (2 * (Rw * gb - Rb * gw));
    const b = Math.sqrt(a * a - 1);
    const arcoth = (x: number) => Math.log(Math.abs((x + 1) / (x - 1))) / 2;
    const found = invert(Rb, Rw, gb, gw);
    expect(Math.abs(found.a - a)).toBeLessThan(1e-9);
    for (const [R, g] of [
      [Rb, gb],
      [Rw, gw],
    ]) {
      expect(Math.abs(found.SX - (arcoth((a - R) / b) - arcoth((a - g) / b)) / b)).toBeLessThan(1e-9);
    }
  });

  test("round trip through the film", () => {
    // identity; films that let through enough light to tell the grounds apart by 1e-3, error 1e-15/1e-3·slope
    const power = fc.oneof(fc.double({ min: 0, max: 3, noNaN: true }), fc.constantFrom(0, 1e-9, 1e-5));
    fc.assert(
      fc.property(
        power,
        power,
        fc.double({ min: 0, max: 0.1, noNaN: true }),
        fc.double({ min: 0.6, max: 1, noNaN: true }),
        (KX, SX, black, white) => {
          const Rb = filmReflectance(KX, SX, 1, black);
          const Rw = filmReflectance(KX, SX, 1, white);
          fc.pre(Rw - Rb > 1e-3);
          const found = invert(Rb, Rw, black, white, 1e-9);
          expect(found.status).toBe("determined");
          expect(Math.abs(found.KX - KX)).toBeLessThan(1e-9);
          expect(Math.abs(found.SX - SX)).toBeLessThan(1e-9);
        },
      ),
      { seed, numRuns: 1000 },
    );
  });

  test("stays finite when the reflectance over black goes to zero", () => {
    // identity: a pure absorber over black 0 and white Rg shows 0 and Rg·exp(−2KX); a is infinite, K and S are not
    const found = invert(0, 0.8 * Math.exp(-2 * 0.7), 0, 0.8);
    expect(found.KX).toBeCloseTo(0.7, 13);
    expect(found.SX).toBe(0);
    expect(found.status).toBe("determined");
    for (const Rb of [1e-3, 1e-6, 1e-12]) {
      const near = invert(Rb, 0.2, 0, 0.8);
      expect(Number.isFinite(near.a)).toBe(true);
      // identity: S/(2K) = R over black as both go to zero for a film with K, times 1 − exp(−2KX)
      expect(near.SX / Rb).toBeCloseTo((2 * near.KX) / (1 - Math.exp(-2 * near.KX)), Rb < 1e-4 ? 4 : 1);
    }
  });

  test("a film that hides is undetermined, with finite lower bounds", () => {
    // source: ASTM D2805 purpose; readings of a film with KX = 1.5, SX = 4, which hides to 6e-4
    const [K, S] = [1.5, 4];
    const Rb = filmReflectance(K, S, 1, 0.02);
    const Rw = filmReflectance(K, S, 1, 0.82);
    expect(Rw - Rb).toBeLessThan(0.001);
    const found = invert(Rb, Rw, 0.02, 0.82, 0.001);
    expect(found.status).toBe("undetermined");
    for (const [value, truth] of [
      [found.KX, K],
      [found.SX, S],
    ]) {
      expect(Number.isFinite(value)).toBe(true);
      expect(value).toBeGreaterThan(0.5 * truth);
      expect(value).toBeLessThan(truth);
    }
    expect(found.a).toBeCloseTo(1 + K / S, 2);
    const same = invert(0.3, 0.3, 0.02, 0.82, 0.001);
    expect(same.status).toBe("undetermined");
    expect(Number.isFinite(same.KX) && Number.isFinite(same.SX)).toBe(true);
  });

  test("readings that no film gives are named, not clipped", () => {
    // identity: a film cannot be lighter over white than the white it lies on
    const bright = invert(0.05, 0.85, 0.02, 0.8);
    expect(bright.status).toBe("negative absorption");
    expect(bright.KX).toBeLessThan(0);
    expect(bright.SX).toBeGreaterThan(0);
    // identity: nor darker over black than the black light that a pure absorber would leave
    const dark = invert(0.004, 0.4, 0.02, 0.8);
    expect(dark.status).toBe("negative scattering");
    expect(dark.SX).toBeLessThan(0);
  });

  test("two thicknesses give the same coefficients, or tell that a thickness is wrong", () => {
    // source: Kubelka 1948 solved for two grounds; relative 1e-3: six printed decimals
    const thin = invert(0.052657, 0.162694, 0.04, 0.83);
    const thick = invert(0.054355, 0.069203, 0.04, 0.83);
    const within = (value: number, expected: number) =>
      expect(Math.abs(value / expected - 1)).toBeLessThan(1e-3);
    within(thin.KX / 0.5, 1.8);
    within(thin.SX / 0.5, 0.22);
    within(thick.KX / 1, 1.8);
    within(thick.SX / 1, 0.22);
    within(thick.KX / 0.9, 2);
    within(thick.SX / 0.9, 0.24444);
  });

  test("what cannot be is refused", () => {
    expect(() => invert(0.1, 0.2, 0.5, 0.5)).toThrow(/white ground/);
    expect(() => invert(0.1, 0.2, 0, 0.8, 0)).toThrow(/noise/);
    expect(() => invert(Number.NaN, 0.2, 0, 0.8)).toThrow(RangeError);
    expect(() => invert(0.1, 0.2, -0.1, 0.8)).toThrow(RangeError);
    expect(() => invert(1.3, 1.4, 0, 0.8)).toThrow(/no film/);
    expect(() =>
      invertTwoGrounds({
        overBlack: [0.1, 0.2],
        overWhite: [0.2],
        black: [0, 0],
        white: [0.8, 0.8],
        noise: 1e-4,
      }),
    ).toThrow(TypeError);
  });
});

describe("paper form", () => {
  // source: ISO 9416, TAPPI T 1214 (formula from memory), opacity as in TAPPI T 425; tolerance 1e-3: printed digits
  test.each([
    [60, 0.7, 0.8, 46.6097, 1.16524, 87.5, 84.354],
    [80, 0.7315, 0.812, 42.0085, 0.91425, 90.086, 87.693],
  ])("grammage %d, R0 = %d, R∞ = %d", (grammage, R0, Rinf, s, k, backed, c89) => {
    const { scattering, absorption } = sheetCoefficients(grammage, R0, Rinf);
    expect(Math.abs(scattering - s)).toBeLessThan(1e-3);
    expect(Math.abs(absorption - k)).toBeLessThan(1e-3);
    expect(Math.abs(100 * opacity(R0, Rinf) - backed)).toBeLessThan(1e-3);
    const over89 = filmReflectance(absorption, scattering, grammage / 1000, 0.89);
    expect(Math.abs((100 * R0) / over89 - c89)).toBeLessThan(1e-3);
    expect(filmReflectance(absorption, scattering, grammage / 1000, 0)).toBeCloseTo(R0, 12); // identity
  });

  test("a sheet that absorbs nothing, and the neighbourhood of that limit", () => {
    expect(scatteringPowerFromReflectances(0.6, 1)).toBeCloseTo(1.5, 14); // identity: SX = R0/(1 − R0)
    expect(scatteringPowerFromReflectances(0.6, 1 - 1e-9)).toBeCloseTo(1.5, 7);
    expect(scatteringPowerFromReflectances(0.6, 1 - 1e-13)).toBeCloseTo(1.5, 11);
    expect(scatteringPowerFromReflectances(0, 0.4)).toBe(0); // identity: no sheet
    expect(() => scatteringPowerFromReflectances(0.8, 0.8)).toThrow(RangeError);
    expect(() => sheetCoefficients(0, 0.7, 0.8)).toThrow(/grammage/);
    expect(() => opacity(0.9, 0.8)).toThrow(RangeError);
  });
});
