import { describe, expect, test } from "vitest";
import { deltaE2000, deltaEab } from "../../src/colour/difference.ts";
import { metamerismIndex, metamerismIndexOfReflectance } from "../../src/colour/metamerism.ts";
import { weightsFor } from "../../src/tables/weights.ts";

describe("special metamerism index, change of illuminant", () => {
  const daylight = { standard: [0.2, 0.12, 0.05], sample: [0.203, 0.121, 0.0505] };
  const incandescent = { standard: [0.28, 0.15, 0.02], sample: [0.29, 0.153, 0.0195] };
  const whiteA = [1.0985, 1, 0.35585];

  test("a worked example with multiplicative correction", () => {
    // source: CIE 15:2004, section 9, worked through; correction from memory. Tolerance: printed digits.
    const result = metamerismIndex(daylight, incandescent, whiteA, deltaEab);
    [0.285714, 0.151736, 0.019307].forEach((value, i) => {
      expect(result.corrected[i]).toBeCloseTo(value, 6);
    });
    [45.6342, 51.3573, 29.6561].forEach((value, i) => {
      expect(result.standardLab[i]).toBeCloseTo(value, 3);
    });
    [45.871, 52.4787, 30.9597].forEach((value, i) => {
      expect(result.sampleLab[i]).toBeCloseTo(value, 3);
    });
    expect(result.index).toBeCloseTo(1.7358, 3);
    expect(metamerismIndex(daylight, incandescent, whiteA, deltaE2000).index).toBeCloseTo(0.5912, 3);
  });

  test("a pair that matches needs no correction", () => {
    // identity
    const exact = { standard: daylight.standard, sample: daylight.standard };
    const { corrected } = metamerismIndex(exact, incandescent, whiteA, deltaEab);
    expect([...corrected]).toEqual(incandescent.sample);
  });

  test("identical spectra are never metameric; proportional ones neither", () => {
    // identity: the correction takes out a common factor
    const R = Float64Array.from({ length: 36 }, (_, i) => 0.1 + 0.7 / (1 + Math.exp(-(i - 22) / 2)));
    const [D65, lamp] = [weightsFor("1964-10", "D65"), weightsFor("1964-10", "FL11")];
    expect(metamerismIndexOfReflectance(R, R, D65, lamp, deltaEab).index).toBe(0);
    const darker = R.map((value) => 0.9 * value);
    expect(metamerismIndexOfReflectance(R, darker, D65, lamp, deltaEab).index).toBeCloseTo(0, 9);
    const other = R.map((value, i) => value + 0.05 * Math.sin(i));
    expect(metamerismIndexOfReflectance(R, other, D65, lamp, deltaEab).index).toBeGreaterThan(0.1);
  });

  test("refuses lights seen by different observers, and a sample that reflects nothing", () => {
    const R = new Float64Array(36).fill(0.5);
    expect(() =>
      metamerismIndexOfReflectance(R, R, weightsFor("1964-10", "D65"), weightsFor("1931-2", "A"), deltaEab),
    ).toThrow(/one observer/);
    expect(() =>
      metamerismIndex({ standard: [1, 1, 1], sample: [0, 1, 1] }, incandescent, whiteA, deltaEab),
    ).toThrow(/sample X = 0/);
  });
});
