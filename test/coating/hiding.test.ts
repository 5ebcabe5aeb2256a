import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { contrastRatioOfFilm, hidingScopeNote, thicknessForContrastRatio } from "../../src/coating/hiding.ts";
import { spreadRate } from "../../src/coating/spread.ts";
import { filmReflectance, reflectivity } from "../../src/optics/film.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { scatteringPowerFromReflectances } from "../optics/sheet.ts";

/**
 * Scattering power SX that gives a contrast ratio over black 0 and a white ground, for a grey: an independent closed form.
 * Source: Kubelka 1948: R0²/C + R0[(1 − 1/C)/Rg − (R∞ + 1/R∞)] + 1 = 0, then SX from R0 and R∞.
 */
function scatteringPowerForContrastRatio(Rinf: number, ratio = 0.98, white = 0.8) {
  if (ratio === 0) return { overBlack: 0, scatteringPower: 0 };
  // The smaller root, written so that nothing cancels.
  const minusHalf = (Rinf + 1 / Rinf + (1 / ratio - 1) / white) / 2;
  const overBlack = 1 / (minusHalf + Math.sqrt(minusHalf * minusHalf - 1 / ratio));
  return { overBlack, scatteringPower: scatteringPowerFromReflectances(overBlack, Rinf) };
}

const seed = 65040001;
const weights = weightsFor("1964-10", "D65");
const length = weights.grid.length;
const flat = (K: number, S: number) => ({
  absorption: new Float64Array(length).fill(K),
  scattering: new Float64Array(length).fill(S),
});

describe("scattering power for a contrast ratio of 0.98 over black 0 and white 0.80", () => {
  // source: Kubelka 1948, closed form; ISO 6504-1 (white ground 0.80), ASTM D2805; tolerances: printed digits, 1e-4 of SX
  test.each([
    [0.2, 0.199111, 1.11975],
    [0.5, 0.494933, 2.87166],
    [0.7, 0.68933, 4.83805],
    [0.8, 0.784, 6.50069],
    [0.85, 0.829484, 7.66705],
    [0.9, 0.871877, 9.14267],
    [0.95, 0.906511, 10.80894],
  ])("R∞ = %d", (Rinf, R0, SX) => {
    const found = scatteringPowerForContrastRatio(Rinf);
    expect(Math.abs(found.overBlack - R0)).toBeLessThan(1e-6);
    expect(Math.abs(found.scatteringPower - SX)).toBeLessThan(1e-4);
    // independent method: the film itself at that thickness
    const K = (1 - Rinf) ** 2 / (2 * Rinf);
    const over = (ground: number) => filmReflectance(K, 1, found.scatteringPower, ground);
    expect(over(0) / over(0.8)).toBeCloseTo(0.98, 12);
  });

  test("a film without absorption, and other ratios and whites", () => {
    for (const Rinf of [1e-3, 0.3, 1 - 1e-10, 1]) {
      for (const ratio of [0, 0.5, 0.98, 0.999]) {
        const { overBlack, scatteringPower } = scatteringPowerForContrastRatio(Rinf, ratio, 0.75);
        const K = (1 - Rinf) ** 2 / (2 * Rinf);
        const [black, white] = [0, 0.75].map((ground) => filmReflectance(K, 1, scatteringPower, ground));
        expect(black).toBeCloseTo(overBlack, 9); // independent method: the film itself
        expect(black / white).toBeCloseTo(ratio, 9);
      }
    }
  });
});

describe("thickness for a contrast ratio by Y", () => {
  // source: Kubelka 1948 with ISO 6504-1, ASTM D2805; relative tolerance 1e-4
  test.each([
    [0.02, 0.25, 0.672078, 17.9302, 21.3256, 16.7316],
    [0.9, 0.06, 0.031281, 3.7352, 4.102, 80.3168],
  ])("K = %d, S = %d per µm", (K, S, Rinf, at98, at99, rate) => {
    const near = (value: number | undefined, expected: number) =>
      expect(Math.abs(value! / expected - 1)).toBeLessThan(1e-4);
    expect(Math.abs(reflectivity(K, S) - Rinf)).toBeLessThan(1e-6);
    const thickness = thicknessForContrastRatio(flat(K, S), weights);
    near(thickness, at98);
    near(thicknessForContrastRatio(flat(K, S), weights, 0.99), at99);
    near(spreadRate(0.3, thickness!), rate);
    // independent method: the closed form for one wavelength
    near(thickness, scatteringPowerForContrastRatio(reflectivity(K, S)).scatteringPower / S);
    expect(contrastRatioOfFilm(flat(K, S), thickness!, weights)).toBeCloseTo(0.98, 10);
  });

  test("the contrast ratio rises with thickness, for coloured films and any pair of grounds", () => {
    // source: Kubelka 1948; the black ground no lighter than the film's reflectivity
    // Weights made from 1 nm tables can be a hair below 0 at the far ends; the statement is for weights that are not.
    const y = weights.y.map((value) => Math.max(0, value));
    const coefficient = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(coefficient, { minLength: length, maxLength: length }),
        fc.array(coefficient, { minLength: length, maxLength: length }),
        fc.double({ min: 0.1, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 20, noNaN: true }),
        fc.double({ min: 0, max: 20, noNaN: true }),
        (absorption, scattering, white, X, more) => {
          const film = { absorption, scattering };
          const grounds = { black: 0, white };
          const thin = contrastRatioOfFilm(film, X, { y }, grounds);
          expect(contrastRatioOfFilm(film, X + more, { y }, grounds)).toBeGreaterThanOrEqual(thin - 1e-12);
        },
      ),
      { seed },
    );
    // over one wavelength any two grounds will do
    fc.assert(
      fc.property(coefficient, coefficient, coefficient, coefficient, coefficient, (K, S, g1, g2, X) => {
        fc.pre(Math.abs(g1 - g2) > 1e-3);
        const grounds = { black: Math.min(g1, g2), white: Math.max(g1, g2) };
        const film = { absorption: [K], scattering: [S] };
        const thin = contrastRatioOfFilm(film, X, { y: Float64Array.of(100) }, grounds);
        const thick = contrastRatioOfFilm(film, 2 * X, { y: Float64Array.of(100) }, grounds);
        expect(thick).toBeGreaterThanOrEqual(thin - 1e-12);
      }),
      { seed },
    );
  });

  test("a film that never hides gives no figure", () => {
    expect(thicknessForContrastRatio(flat(0.5, 0), weights)).toBeUndefined(); // identity: black over black 0 at any X
    expect(thicknessForContrastRatio(flat(0, 0), weights)).toBeUndefined(); // identity: no film at all
    expect(contrastRatioOfFilm(flat(0, 0), 5, weights)).toBe(0);
    expect(thicknessForContrastRatio(flat(0.5, 0.1), weights, 0)).toBe(0);
  });

  test("the surface is taken into account when asked for", () => {
    // identity: without internal reflection it changes nothing; with it, contrast is lower (Saunderson 1942: the
    // surface darkens the dark film more than the light one)
    const film = flat(0.02, 0.25);
    const bare = contrastRatioOfFilm(film, 10, weights);
    const surface = { externalReflection: 0.04, internalReflection: 0.6 };
    expect(
      contrastRatioOfFilm(film, 10, weights, undefined, { externalReflection: 0.04, internalReflection: 0 }),
    ).toBeCloseTo(bare, 14);
    expect(contrastRatioOfFilm(film, 10, weights, undefined, surface)).toBeLessThan(bare);
    expect(thicknessForContrastRatio(film, weights, 0.98, undefined, surface)).toBeGreaterThan(17.9303);
  });

  test("what cannot be is refused", () => {
    expect(() => contrastRatioOfFilm(flat(-1, 0.1), 5, weights)).toThrow(/absorption\[0\]/);
    expect(() => contrastRatioOfFilm(flat(1, 0.1), -5, weights)).toThrow(/µm/);
    expect(() => contrastRatioOfFilm({ absorption: [1], scattering: [1] }, 5, weights)).toThrow(TypeError);
    expect(() => contrastRatioOfFilm(flat(1, 1), 5, weights, { black: 0.8, white: 0.8 })).toThrow(/lighter/);
  });
});

test("the note on scope follows Y", () => {
  // source: scopes of ASTM D2805 (Y above 15), ISO 6504-3:2006 (above 25), ISO 6504-1:1983 (light colours, from 70)
  expect(hidingScopeNote(9.3)).toMatch(/Y = 9\.3.*outside.*every.*convention.*colour difference/);
  expect(hidingScopeNote(15)).toMatch(/outside.*every/);
  expect(hidingScopeNote(20)).toMatch(/within ASTM D2805.*outside ISO 6504-3/);
  expect(hidingScopeNote(50)).toMatch(/within ASTM D2805 and ISO 6504-3/);
  expect(hidingScopeNote(85)).toMatch(/within the scope/);
  expect(() => hidingScopeNote(-1)).toThrow(RangeError);
});
