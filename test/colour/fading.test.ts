import { describe, expect, test } from "vitest";
import { deltaEab } from "../../src/colour/difference.ts";
import { fadingDifference, fadingGrade, fadingRating } from "../../src/colour/fading.ts";
import greyScale from "../reference/grey_scale_iso105.json";

const scale = greyScale.grey_scale_change_of_colour_ISO_105_A02_CIELAB;

describe("fading", () => {
  // source: ISO 105-A02:1993 (EN 20105-A02), steps of the grey scale in CIELAB
  test.each(scale.dE.map((deltaE, i) => [deltaE, scale.grade[i]] as const))(
    "a grey-scale step of %d is grade %s",
    (deltaE, grade) => {
      expect(fadingGrade(deltaE)).toBe(grade);
      // Halves of the rating scale, met within the rounding of the steps to 0.1 (0.03 of a grade at worst near 5).
      const middle = grade.split("-").reduce((sum, part) => sum + Number(part), 0) / grade.split("-").length;
      expect(Math.abs(fadingRating(deltaE) - middle)).toBeLessThan(0.03);
    },
  );

  test("a step that is off by its permitted tolerance keeps its grade", () => {
    // source: ISO 105-A02:1993 (EN 20105-A02), tolerances of the steps
    scale.dE.forEach((deltaE, i) => {
      expect(fadingGrade(Math.max(deltaE - scale.tolerance[i], 0))).toBe(scale.grade[i]);
      expect(fadingGrade(deltaE + scale.tolerance[i])).toBe(scale.grade[i]);
    });
  });

  test.each([
    // source: ISO 105-A05:1996 (formula from memory, consistent with the steps of ISO 105-A02); three decimals
    [0, 5],
    [0.8, 4.529],
    [1.7, 4],
    [2.5, 3.529],
    [3.4, 3],
    [4.8, 2.503],
    [6.8, 2],
    [9.6, 1.503],
    [13.6, 1],
  ])("ΔE_F %d is rated %d", (deltaEF, rating) => {
    expect(Math.abs(fadingRating(deltaEF) - rating)).toBeLessThanOrEqual(0.5e-3);
  });

  test.each([
    // source: ISO 105-A05:1996 (from memory): grades change at the midpoints of the steps
    [0.4, "5", "4-5"],
    [1.25, "4-5", "4"],
    [2.1, "4", "3-4"],
    [2.95, "3-4", "3"],
    [4.1, "3", "2-3"],
    [5.8, "2-3", "2"],
    [8.2, "2", "1-2"],
    [11.6, "1-2", "1"],
  ])("at %d the grade goes from %s to %s", (limit, below, above) => {
    expect(fadingGrade(limit - 1e-9)).toBe(below);
    expect(fadingGrade(limit)).toBe(above);
  });

  test.each([
    // source: ISO 105-A05:1996 (from memory), reds and a violet red worked through; four and three decimals
    [[40, 45, 25], [44, 38, 22], 8.6023, 5.6724, 2.262, "2-3"],
    [[38, 48, 27], [38.8, 46.9, 26.2], 1.578, 1.0188, 4.401, "4-5"],
    [[30, 30, 10], [37, 24, 9], 9.2736, 8.3848, 1.698, "1-2"],
  ] as const)("%j fading to %j", (original, faded, deltaE, deltaEF, rating, grade) => {
    expect(Math.abs(deltaEab(original, faded) - deltaE)).toBeLessThanOrEqual(0.5e-4);
    expect(Math.abs(fadingDifference(original, faded) - deltaEF)).toBeLessThanOrEqual(0.5e-4);
    expect(Math.abs(fadingRating(fadingDifference(original, faded)) - rating)).toBeLessThanOrEqual(0.5e-3);
    expect(fadingGrade(fadingDifference(original, faded))).toBe(grade);
  });

  test("greys are judged by ΔE*ab alone", () => {
    // identity: without chroma the weights of ISO 105-A05 are 1 and D is 0
    expect(fadingDifference([50, 0, 0], [53.4, 0, 0])).toBeCloseTo(3.4, 12);
    expect(fadingDifference([50, 0, 0], [50, 0, 0])).toBe(0);
  });

  test("in a blue part of a lost chroma counts as hue", () => {
    // source: ISO 105-A05:1996 (from memory): at hue 280° x = 0, so D = ΔC·C_M/100, worked by hand:
    // C 40 → 36, C_M 38, D = −1.52, ΔC_F = −2.48/(1 + 0.76²), ΔH_F = 1.52/(1 + 0.38²)
    const at = (C: number) =>
      [40, C * Math.cos((280 * Math.PI) / 180), C * Math.sin((280 * Math.PI) / 180)] as const;
    const expected = Math.hypot(2.48 / (1 + 0.76 ** 2), 1.52 / (1 + 0.38 ** 2));
    expect(fadingDifference(at(40), at(36))).toBeCloseTo(expected, 10);
  });

  test("the mean hue of two hues across 0° lies between them", () => {
    // identity: a small hue change costs the same just across 0° as just beside it (D is nil there)
    const at = (h: number) =>
      [40, 30 * Math.cos((h * Math.PI) / 180), 30 * Math.sin((h * Math.PI) / 180)] as const;
    expect(fadingDifference(at(358), at(2))).toBeCloseTo(fadingDifference(at(10), at(14)), 6);
  });

  test("refuses a negative difference", () => {
    expect(() => fadingRating(-1)).toThrow(RangeError);
    expect(() => fadingGrade(Number.NaN)).toThrow(RangeError);
  });
});
