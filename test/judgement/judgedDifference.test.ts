import { describe, expect, test } from "vitest";
import { deltaE2000, deltaE2000TermsInto } from "../../src/colour/difference.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { eyeUnitsAt, judgedDifference } from "../../src/judgement/judgedDifference.ts";
import { LChToLab } from "../colour/LChToLab.ts";
import greyScale from "../reference/grey_scale_iso105.json";

const LCh = (L: number, C: number, h: number) => LChToLab([L, C, h], new Float64Array(3));

describe("the eye's own differences", () => {
  test("at C* 60 a unit of chroma is 3.7 times larger in C*", () => {
    const [, chroma] = judgedDifference(LCh(50, 60, 30), LCh(50, 60.37, 30));
    expect(chroma).toBeCloseTo(0.1, 3); // source: ISO/CIE 11664-6, S_C = 1 + 0.045 C′
  });

  test("with the rotation they make up ΔE00", () => {
    const random = seededRandom(3);
    for (let k = 0; k < 200; k++) {
      const reference = LCh(20 + 60 * random(), 10 + 60 * random(), 360 * random());
      const panel = reference.map((value) => value + 4 * normal(random));
      if (Math.hypot(panel[1], panel[2]) < 6) continue;
      const [L, C, H] = judgedDifference(reference, panel);
      const [, , , rotation] = deltaE2000TermsInto(reference, panel, new Float64Array(4));
      // identity, ISO/CIE 11664-6
      expect(Math.sqrt(L * L + C * C + H * H + rotation * C * H)).toBeCloseTo(
        deltaE2000(reference, panel),
        9,
      );
    }
  });

  test("beside a grey, red–green and yellow–blue make up the same difference", () => {
    const reference = [60, 1.2, -0.7];
    const panel = [60.8, -0.4, 1.1];
    const [L, a, b] = judgedDifference(reference, panel);
    // identity but for S_C in the place of S_H, which differ by up to 5 % at a chroma of 1.6
    const ratio = Math.hypot(L, a, b) / deltaE2000(reference, panel);
    expect(ratio).toBeGreaterThan(0.95);
    expect(ratio).toBeLessThan(1.05);
  });

  test("the pairs of the grey scale lie one to each word above the first", () => {
    // source: ISO 105-A02, pairs of grades 4-5, 4, 3, 2, 1 (greys of about L* 40: from memory)
    const { dE, grade } = greyScale.grey_scale_change_of_colour_ISO_105_A02_CIELAB;
    const sizes = ["4-5", "4", "3", "2", "1"].map((name) => {
      const [L] = judgedDifference([40, 0, 0], [40 + dE[grade.indexOf(name)], 0, 0]);
      return L;
    });
    const ends = [0.5, 1.2, 2.5, 5];
    expect(sizes.map((size) => ends.filter((end) => size >= end).length)).toEqual([1, 2, 3, 4, 4]);
  });

  test("units where the two are alike are the slopes of the difference", () => {
    const panel = LCh(45, 55, 28);
    const units = eyeUnitsAt(panel);
    const change = [0.2, -0.3, 0.25];
    const seen = judgedDifference(
      panel.map((value, i) => value + change[i]),
      panel,
    );
    for (let i = 0; i < 3; i++) {
      const expected = change.reduce((sum, value, j) => sum + units[3 * i + j] * value, 0);
      expect(Math.abs(seen[i] - expected)).toBeLessThan(0.005); // identity, to second order in a change of 0.4
    }
  });
});
