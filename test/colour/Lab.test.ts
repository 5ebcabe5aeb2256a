import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { LabToLCh, LabToXYZ, XYZToLab } from "../../src/colour/Lab.ts";
import { chromaticityToXYZ } from "../../src/colour/XYZ.ts";
import { LChToLab } from "./LChToLab.ts";

const out = () => new Float64Array(3);
const warm = chromaticityToXYZ(0.3457, 0.3585, 1);
const D65 = [0.95047, 1, 1.08883];

describe("XYZToLab", () => {
  test.each([
    // source: test values of the colour-science library for ISO/CIE 11664-4, recomputed; white given by chromaticity
    ["red under D50", [0.4709771, 0.3495, 0.11301649], warm, [65.7097188, 41.5643855, 37.7830355]],
    [
      "blue-green under A",
      [0.07049534, 0.1008, 0.09558313],
      chromaticityToXYZ(0.44757, 0.40745, 1),
      [37.9856291, -32.5133398, -35.9677075],
    ],
    [
      "blue-green under D65",
      [0.07049534, 0.1008, 0.09558313],
      chromaticityToXYZ(0.3127, 0.329, 1),
      [37.9856291, -22.6192065, 4.1981124],
    ],
  ] as const)("%s", (_, XYZ, white, expected) => {
    const Lab = XYZToLab(XYZ, white, out());
    // Tolerance: XYZ is printed to eight decimals, which moves L*, a*, b* by up to 1e-5.
    for (let i = 0; i < 3; i++) expect(Math.abs(Lab[i] - expected[i])).toBeLessThan(1e-5);
  });

  test("hue and chroma of the red under D50", () => {
    // source: test values of the colour-science library for ISO/CIE 11664-4
    const LCh = LabToLCh(XYZToLab([0.4709771, 0.3495, 0.11301649], warm, out()), out());
    [65.7097, 56.1707746, 42.2715987].forEach((value, i) => {
      expect(Math.abs(LCh[i] - value)).toBeLessThan(i === 0 ? 5e-5 : 1e-5);
    });
  });

  test("very dark colours take the straight part of the scale", () => {
    // source: CIE 15:2004, 8.2.1; values worked out by hand from it, six decimals
    const Lab = XYZToLab([0.0042, 0.003, 0.0012], D65, out());
    [2.709889, 5.524383, 2.955803].forEach((value, i) => {
      expect(Math.abs(Lab[i] - value)).toBeLessThan(1e-6);
    });
    const back = LabToXYZ(Lab, D65, out());
    [0.0042, 0.003, 0.0012].forEach((value, i) => {
      expect(Math.abs(back[i] - value)).toBeLessThan(1e-9);
    });
    // source: CIE 15:2004: L* = 903.2963·Y below 0.008856
    for (const Y of [0, 1e-4, 0.005, 0.008856]) {
      expect(XYZToLab([Y, Y, Y], [1, 1, 1], out())[0]).toBeCloseTo((24389 / 27) * Y, 10);
    }
  });

  test.each([
    // source: CIE 15:2004, definition of L*; four decimals
    [0.18, 49.4961],
    [0.01, 8.9914],
    [1, 100],
  ])("luminance factor %d has L* %d", (Y, L) => {
    expect(XYZToLab([Y, Y, Y], [1, 1, 1], out())[0]).toBeCloseTo(L, 4);
  });

  test("the two branches meet with equal value and slope", () => {
    // identity: 216/24389 and 24389/27 are chosen so
    const at = 216 / 24389;
    const L = (Y: number) => XYZToLab([Y, Y, Y], [1, 1, 1], out())[0];
    expect(L(at * (1 + 1e-12))).toBeCloseTo(L(at * (1 - 1e-12)), 9);
    const left = (L(at) - L(at - 1e-7)) / 1e-7;
    const right = (L(at + 1e-7) - L(at)) / 1e-7;
    expect(Math.abs(left / right - 1)).toBeLessThan(1e-4);
  });

  test("may write over its own input", () => {
    const XYZ = Float64Array.of(20, 12, 5);
    const apart = XYZToLab(XYZ, [95, 100, 109], out());
    expect(XYZToLab(XYZ, [95, 100, 109], XYZ)).toEqual(apart);
    expect(XYZ).toEqual(apart);
  });
});

describe("round trips", () => {
  const coordinate = fc.double({ min: -120, max: 120, noNaN: true });
  const anyLab = fc.tuple(fc.double({ min: 0, max: 100, noNaN: true }), coordinate, coordinate);

  test("CIELAB to XYZ and back", () => {
    // identity; seeded. Tolerance: rounding of cubes and cube roots of numbers around 100.
    fc.assert(
      fc.property(anyLab, (Lab) => {
        const back = XYZToLab(LabToXYZ(Lab, [94.81, 100, 107.32], out()), [94.81, 100, 107.32], out());
        for (let i = 0; i < 3; i++) expect(Math.abs(back[i] - Lab[i])).toBeLessThan(1e-9);
      }),
      { seed: 11664, numRuns: 500 },
    );
  });

  test("CIELAB to chroma and hue and back", () => {
    // identity; seeded
    fc.assert(
      fc.property(anyLab, (Lab) => {
        const LCh = LabToLCh(Lab, out());
        expect(LCh[1]).toBeGreaterThanOrEqual(0);
        expect(LCh[2]).toBeGreaterThanOrEqual(0);
        expect(LCh[2]).toBeLessThanOrEqual(360);
        const back = LChToLab(LCh, out());
        for (let i = 0; i < 3; i++) expect(Math.abs(back[i] - Lab[i])).toBeLessThan(1e-10);
      }),
      { seed: 11665, numRuns: 500 },
    );
  });
});
