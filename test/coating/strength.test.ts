import { describe, expect, test } from "vitest";
import { relativeTintingStrength } from "../../src/coating/strength.ts";
import { ratioFromReflectivity } from "../../src/optics/film.ts";

describe("relative tinting strength", () => {
  // source: ISO 787-24:1985 (ratio of the absorption values at maximum absorption), K/S by Kubelka, Munk 1931;
  // tolerance: printed digits
  test.each([
    [0.32, 0.3, 0.7225, 0.816667, 113.033],
    [0.205, 0.214, 1.541524, 1.443449, 93.638],
  ])("reference %d, sample %d", (reference, sample, before, after, percent) => {
    expect(Math.abs(ratioFromReflectivity(reference) - before)).toBeLessThan(1e-6);
    expect(Math.abs(ratioFromReflectivity(sample) - after)).toBeLessThan(1e-6);
    expect(Math.abs(100 * relativeTintingStrength(reference, sample) - percent)).toBeLessThan(0.001);
  });

  test("what cannot be is refused", () => {
    expect(() => relativeTintingStrength(1, 0.5)).toThrow(/reference/);
    expect(() => relativeTintingStrength(0.5, 0)).toThrow(RangeError);
  });
});
