import { describe, expect, test } from "vitest";
import { calibrate } from "../../src/calibration/calibrate.ts";
import { calibratedComponent } from "../../src/calibration/calibratedComponent.ts";
import { compareComponents } from "../../src/calibration/compare.ts";
import { compose, dryThicknessOf } from "../../src/calibration/compose.ts";
import { usualCalibrationOptions } from "../../src/calibration/result.ts";
import type { Component } from "../../src/coating/component.ts";
import { mixOf } from "../../src/coating/mix.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { ratioFromReflectivity, reflectivity } from "../../src/optics/film.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { binder, film, simulationOf, surface, usualDrawdowns, white } from "./benchDesign.ts";
import { seededPaste } from "./seededPastes.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

const nm = wavelengths(workingGrid);
const weights = weightsFor("1964-10", "D65");
const label = {
  id: "test-paste",
  name: "Test paste",
  role: "paste" as const,
  density: 1.1,
  volumeSolids: 0.3,
};
const red = lanternRoom.pastes.find(({ id }) => id === "pr254")!;

describe("calibratedComponent", () => {
  const problem = simulateDrawdowns(simulationOf(seededPaste(3), usualDrawdowns("known"), 3));
  const result = calibrate(problem, usualCalibrationOptions, nm, weights);

  test("carries K and S, their uncertainty, and where they come from", () => {
    const component = calibratedComponent(result, {
      ...label,
      colourIndex: "PR 0",
      by: "the bench",
      when: "2025-03-01",
    });
    expect(component.absorption).toEqual(result.curves!.absorption);
    expect(component.absorptionSigma).toEqual(result.curves!.absorptionSigma);
    expect(component.scatteringSigma).toEqual(result.curves!.scatteringSigma);
    expect(component.provenance).toMatchObject({ kind: "calibrated", by: "the bench", when: "2025-03-01" });
    expect(component.provenance.note).toContain("8 drawdowns");
    expect(component.provenance.note).toContain("ΔE00");
  });

  test("is refused with the reason when the calibration was", () => {
    const plan = [film("one", [0.12, 0, 0.88], 20, "unknown")];
    const refused = calibrate(
      simulateDrawdowns(simulationOf(seededPaste(3), plan, 3)),
      usualCalibrationOptions,
      nm,
    );
    expect(() => calibratedComponent(refused, label)).toThrow(/Thickness and strength cannot be told apart/);
  });

  test("is refused when K and S are per laid amount, or the label cannot be", () => {
    expect(() => calibratedComponent({ ...result, thicknessUnit: "amount" }, label)).toThrow(
      /measure one film/,
    );
    expect(() => calibratedComponent(result, { ...label, volumeSolids: 1.4 })).toThrow(/volume solids/);
  });
});

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

describe("compose", () => {
  const paste = { name: "paste", density: 1.1, volumeSolids: 0.3 };

  test("by volume, by mass, by dry volume: one and the same mix", () => {
    const volumes = [3, 5, 40];
    const masses = volumes.map((volume, j) => volume * [paste, white, binder][j].density);
    const dry = volumes.map((volume, j) => volume * [paste, white, binder][j].volumeSolids);
    const byVolume = compose(paste, [white, binder], volumes, "volume");
    const sum = dry.reduce((a, b) => a + b, 0);
    byVolume.fractions.forEach((share, j) => expect(share).toBeCloseTo(dry[j] / sum, 12)); // source: definition
    expect(byVolume.volumeSolids).toBeCloseTo(sum / 48, 12);
    compose(paste, [white, binder], masses, "mass").fractions.forEach((share, j) =>
      expect(share).toBeCloseTo(byVolume.fractions[j], 12),
    );
    compose(paste, [white, binder], dry, "dry volume").fractions.forEach((share, j) =>
      expect(share).toBeCloseTo(byVolume.fractions[j], 12),
    );
  });

  test("what is needed and missing is named", () => {
    expect(() => compose({ name: "Rose" }, [binder], [1, 2], "volume")).toThrow(
      /volume solids of Rose are needed/,
    );
    expect(() => compose({ name: "Rose", volumeSolids: 0.3 }, [binder], [1, 2], "mass")).toThrow(
      /density of Rose/,
    );
    expect(() => compose(paste, [binder], [0, 0], "volume")).toThrow(RangeError);
    expect(() => compose(paste, [binder], [-1, 2], "volume")).toThrow(RangeError);
    expect(() => compose(paste, [binder], [1], "volume")).toThrow(TypeError);
    expect(compose({ name: "Rose" }, [binder], [4, 0], "mass").fractions).toEqual(Float64Array.of(1, 0));
  });

  test("wet thickness × volume solids is the dry one, and less sure", () => {
    const mix = compose(paste, [binder], [1, 9], "volume");
    const dry = dryThicknessOf(100, "wet", mix);
    expect(dry).toMatchObject({ kind: "known", relativeSigma: 0.1 });
    expect(dry.kind === "known" && dry.value).toBeCloseTo(100 * mix.volumeSolids!, 12); // source: ISO 3233
    expect(dryThicknessOf(20, "dry", mix)).toEqual({ kind: "known", value: 20, relativeSigma: 0.05 });
    expect(dryThicknessOf(20, "dry", mix, 0.02)).toEqual({ kind: "known", value: 20, relativeSigma: 0.02 });
    expect(() => dryThicknessOf(100, "gap", { fractions: mix.fractions })).toThrow(
      /volume solids of the mix/,
    );
  });
});
