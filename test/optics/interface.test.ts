import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { workingGrid } from "../../src/colour/grid.ts";
import {
  internalFromMeasured,
  seenReflectanceInto,
  toInternal,
  toMeasured,
  toMeasuredInto,
  usualSurface,
} from "../../src/optics/interface.ts";
import { toInternalInto } from "./toInternalInto.ts";

const seed = 19420727;

describe("measured from internal reflectance", () => {
  // source: Saunderson 1942; tolerance 1e-6: printed digits
  test.each([
    [0.04, 0.6, 0.02, 0.047773, 0.007773],
    [0.04, 0.6, 0.05, 0.059794, 0.019794],
    [0.04, 0.6, 0.1, 0.080851, 0.040851],
    [0.04, 0.6, 0.3, 0.180488, 0.140488],
    [0.04, 0.6, 0.6, 0.4, 0.36],
    [0.04, 0.6, 0.9, 0.791304, 0.751304],
    [0.04, 0.6, 1, 1, 0.96],
    [0.04, 0.596346, 0.05, 0.059971, 0.019971],
    [0.04, 0.596346, 0.25, 0.153851, 0.113851],
    [0.04, 0.596346, 0.75, 0.5658, 0.5258],
    [0.03, 0.4, 0.1, 0.090625, 0.060625],
    [0.03, 0.4, 0.5, 0.39375, 0.36375],
  ])("k1 = %d, k2 = %d, R = %d", (k1, k2, R, included, excluded) => {
    expect(Math.abs(toMeasured(R, k1, k2, "included") - included)).toBeLessThan(1e-6);
    expect(Math.abs(toMeasured(R, k1, k2, "excluded") - excluded)).toBeLessThan(1e-6);
    // 1e-5: the printed sixth digit stretched by at most 1/slope
    expect(Math.abs(toInternal(included, k1, k2, "included") - R)).toBeLessThan(1e-5);
    expect(Math.abs(toInternal(excluded, k1, k2, "excluded") - R)).toBeLessThan(1e-5);
  });

  test("limits and slopes", () => {
    // source: Saunderson 1942, by differentiation; 1e-7: second-order term of the difference quotient
    const { externalReflection: k1, internalReflection: k2 } = usualSurface;
    expect(toMeasured(0, k1, k2, "included")).toBe(0.04);
    expect(toMeasured(0, k1, k2, "excluded")).toBe(0);
    expect(toMeasured(1, k1, k2, "included")).toBeCloseTo(1, 14);
    expect(toMeasured(1, k1, k2, "excluded")).toBeCloseTo(0.96, 14);
    const slope = (R: number) => {
      const h = 1e-5;
      return (toMeasured(R + h, k1, k2, "included") - toMeasured(R - h, k1, k2, "included")) / (2 * h);
    };
    expect(Math.abs(slope(0) - 0.384)).toBeLessThan(1e-7);
    expect(Math.abs(slope(1) - 2.4)).toBeLessThan(1e-7);
  });

  test("round trip, both ways and both modes", () => {
    // identity; 1e-12 relative to the steepest slope of the constants tried
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 0.2, noNaN: true }),
        fc.double({ min: 0, max: 0.7, noNaN: true }), // up to here every reading from 0 on has an internal value
        share,
        fc.constantFrom("included" as const, "excluded" as const),
        (k1, k2, R, specular) => {
          const there = toMeasured(R, k1, k2, specular);
          expect(Math.abs(toInternal(there, k1, k2, specular) - R)).toBeLessThan(1e-12);
          const back = toInternal(R, k1, k2, specular); // a reading, possibly below k1
          expect(Math.abs(toMeasured(back, k1, k2, specular) - R)).toBeLessThan(1e-12);
        },
      ),
      { seed, numRuns: 1000 },
    );
  });

  test("without a surface nothing changes", () => {
    expect(toMeasured(0.37, 0, 0, "included")).toBe(0.37); // identity
    expect(toInternal(0.37, 0, 0, "excluded")).toBe(0.37);
  });

  test("whole spectra agree with single wavelengths and may be taken in place", () => {
    const R = Float64Array.of(0, 0.02, 0.3, 0.95, 1);
    const k1 = 0.04;
    const k2 = 0.6;
    for (const specular of ["included", "excluded"] as const) {
      const out = R.slice();
      toMeasuredInto(out, k1, k2, specular, out);
      for (let i = 0; i < R.length; i++) expect(out[i]).toBeCloseTo(toMeasured(R[i], k1, k2, specular), 15);
      toInternalInto(out, k1, k2, specular, out);
      for (let i = 0; i < R.length; i++) expect(out[i]).toBeCloseTo(R[i], 14);
    }
    expect(() => toMeasuredInto(R, k1, k2, "included", new Float64Array(4))).toThrow(TypeError);
  });
});

test("sheen: from gloss off the highlight to dead matt", () => {
  // identity: m = 0 is specular excluded, m = 1 is specular included
  const R = Float64Array.of(0.02, 0.4);
  const out = new Float64Array(2);
  for (const [m, expected] of [
    [0, (r: number) => toMeasured(r, 0.04, 0.6, "excluded")],
    [1, (r: number) => toMeasured(r, 0.04, 0.6, "included")],
    [0.25, (r: number) => toMeasured(r, 0.04, 0.6, "excluded") + 0.01],
  ] as const) {
    seenReflectanceInto(R, 0.04, 0.6, m, out);
    for (let i = 0; i < 2; i++) expect(out[i]).toBeCloseTo(expected(R[i]), 14);
  }
});

describe("reading a measured spectrum", () => {
  test("a reading below k1 stays negative and is named with its wavelengths", () => {
    // source: Saunderson 1942: Rm < k1 with the specular part included has a negative internal reflectance
    const measured = new Float64Array(workingGrid.length).fill(0.2);
    measured[2] = 0.03;
    measured[3] = 0.035;
    measured[10] = 0.039;
    const { values, notes } = internalFromMeasured(measured, 0.04, 0.6, "included");
    expect(values[2]).toBeCloseTo((0.03 - 0.04) / (1 - 0.04 - 0.6 + 0.6 * 0.03), 14);
    expect(values[2]).toBeLessThan(0);
    expect(values[0]).toBeCloseTo(toInternal(0.2, 0.04, 0.6, "included"), 15);
    expect(notes).toHaveLength(1);
    expect(notes[0]).toContain("400–410, 480 nm");
    expect(notes[0]).toContain("k1 = 0.04");
  });

  test("the same reading with the specular part excluded is fine", () => {
    const { values, notes } = internalFromMeasured([0.03, 0.5], 0.04, 0.6, "excluded");
    expect(notes).toEqual([]);
    expect(values[0]).toBeCloseTo(0.03 / (0.96 * 0.4 + 0.6 * 0.03), 14); // source: Saunderson 1942
  });

  test("readings that are too light, or below 0, are named too", () => {
    expect(internalFromMeasured([0.5, 1.02], 0.04, 0.6, "included").notes[0]).toMatch(
      /above 1 at point 2.*fluorescence/,
    );
    expect(internalFromMeasured([0.97, 0.5], 0.04, 0.6, "excluded", [400, 700]).notes[0]).toMatch(
      /above 1 at 400 nm.*specular/,
    );
    expect(internalFromMeasured([-0.001, 0.5], 0.04, 0.6, "excluded").notes[0]).toMatch(
      /below 0 at point 1.*black/,
    );
    expect(internalFromMeasured([0.04, 1], 0.04, 0.6, "included").notes).toEqual([]); // both ends of the range
  });

  test("what cannot be is refused", () => {
    expect(() => internalFromMeasured([Number.NaN], 0.04, 0.6, "included")).toThrow(
      /measured reflectance\[0\]/,
    );
    expect(() => internalFromMeasured([0.1, 0.2], 0.04, 0.6, "included", [400])).toThrow(TypeError);
    expect(() => toMeasured(0.5, 1, 0.6, "included")).toThrow(/k1/);
    expect(() => toMeasured(0.5, 0.04, 1, "included")).toThrow(/k2/);
    expect(() => toMeasured(1.7, 0.04, 0.6, "included")).toThrow(/below 1\/k2/);
    expect(() => toInternal(-0.61, 0.04, 0.6, "included")).toThrow(/must be above -0.6/);
  });
});
