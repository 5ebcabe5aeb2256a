import { describe, expect, test } from "vitest";
import { compareComponents } from "../../src/calibration/compare.ts";
import type { Component } from "../../src/coating/component.ts";
import { mixOf } from "../../src/coating/mix.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { ratioFromReflectivity, reflectivity } from "../../src/optics/film.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { binder, surface, white } from "./benchDesign.ts";

const nm = wavelengths(workingGrid);
const weights = weightsFor("1964-10", "D65");
const red = lanternRoom.pastes.find(({ id }) => id === "pr254")!;

describe("compareComponents", () => {
  const dose = 0.05;

  test("a paste beside itself: strength 1, no difference", () => {
    const { strength, masstone, tint, tintAtEqualStrength } = compareComponents(
      red,
      red,
      white,
      dose,
      weights,
      surface,
    );
    expect(strength).toBe(1); // identity
    expect([masstone.deltaE, tint.deltaE, tintAtEqualStrength]).toEqual([0, 0, 0]);
  });

  test("strength is the ratio of K/S of the reductions where the reference absorbs most", () => {
    // source: ISO 787-24, computed here from the mixing law without the function under test
    const stronger: Component = { ...red, absorption: red.absorption.map((K) => 1.3 * K) };
    const { strength, index } = compareComponents(red, stronger, white, dose, weights, surface);
    const ratioAt = (paste: Component, i: number) => {
      const [c, w] = mixOf([paste, white], [dose / paste.density, (1 - dose) / white.density]).dryFractions;
      const K = c * paste.absorption[i] + w * white.absorption[i];
      const S = c * paste.scattering[i] + w * white.scattering[i];
      return ratioFromReflectivity(reflectivity(K, S));
    };
    const gains = red.absorption.map((_, i) => ratioAt(red, i) - white.absorption[i] / white.scattering[i]);
    const visible = gains.map((gain, i) => (nm[i] >= 400 && nm[i] <= 700 ? gain : 0));
    expect(index).toBe(visible.indexOf(Math.max(...visible)));
    expect(strength).toBeCloseTo(ratioAt(stronger, index) / ratioAt(red, index), 12);
    expect(strength).toBeGreaterThan(1.25);
  });

  test("the same paste let down twofold differs in strength, hardly in hue", () => {
    // Diluting the paste's pigment in its own binder: K and S of its dry film halve.
    const weak: Component = {
      ...red,
      absorption: red.absorption.map((K, i) => (K + binder.absorption[i]) / 2),
      scattering: red.scattering.map((S, i) => (S + binder.scattering[i]) / 2),
    };
    const { strength, tint, tintAtEqualStrength } = compareComponents(
      red,
      weak,
      white,
      0.02,
      weights,
      surface,
    );
    expect(strength).toBeCloseTo(0.5, 1);
    expect(tint.deltaE).toBeGreaterThan(3);
    expect(tintAtEqualStrength).toBeLessThan(0.2 * tint.deltaE);
  });

  test("uncertainty of K and S goes into the strength", () => {
    const doubtful: Component = {
      ...red,
      absorptionSigma: red.absorption.map((K) => 0.03 * K),
      scatteringSigma: red.scattering.map(() => 0),
    };
    const { strengthSigma, strength } = compareComponents(red, doubtful, white, dose, weights, surface);
    // The white absorbs next to nothing where the red absorbs most, so that 3 % of K are 3 % of K/S.
    expect(strengthSigma! / strength).toBeCloseTo(0.03, 3);
    expect(compareComponents(red, red, white, dose, weights, surface).strengthSigma).toBeUndefined();
  });

  test("a dose that is none is refused", () => {
    expect(() => compareComponents(red, red, white, 0, weights, surface)).toThrow(/dose/);
  });
});
