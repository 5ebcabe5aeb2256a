import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { wordsIn } from "../../src/units/wordsIn.ts";

// Factors are exact by definition: US fluid ounce 29.5735295625 mL, gallon 3.785411784 L, foot 0.3048 m, mil 25.4 µm
// (NIST Handbook 44, appendix C).
describe("words in US units", () => {
  test.each([
    [
      "Total 100.00 mL, 112.40 g · pigment loading 4.2 %",
      "Total 3.381 fl oz, 112.40 g · pigment loading 4.2 %",
    ],
    ["one coat of 25.4 µm wet", "one coat of 1.00 mil wet"],
    ["between 1 and 150 µm", "between 0.039 and 5.9 mil"],
    ["12.70–25.40 µm", "0.500–1.000 mil"],
    ["at least 0.20 mL per 100 mL", "at least 0.20 fl oz per 100 fl oz"],
    ["9.29 m² of grain", "100.0 ft² of grain"],
    ["3.79 L to spray", "1.00 gal to spray"],
    ["0.30 L", "10.1 fl oz"],
    ["12.00 per L, 1.00 per mL, 3.50 per m²", "45.42 per gal, 29.57 per fl oz, 0.33 per ft²"],
    ["200 mL/m²", "0.628 fl oz/ft²"],
    ["0.4 1/µm", "0.4 1/µm"],
    ["at 560 nm, k1 0.04, ΔE00 0.42, L* 38.5", "at 560 nm, k1 0.04, ΔE00 0.42, L* 38.5"],
    ["PBk 7 mLx, 5 Lab, 2 L*", "PBk 7 mLx, 5 Lab, 2 L*"],
  ])("%s", (metric, us) => {
    expect(wordsIn(metric, "us")).toBe(us);
    expect(wordsIn(metric, "metric")).toBe(metric);
  });

  test("nothing is converted twice, and a volume comes back within what was written", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 10_000_000 }), (hundredths) => {
        const us = wordsIn(`${(hundredths / 100).toFixed(2)} mL`, "us");
        expect(wordsIn(us, "us")).toBe(us);
        const [value, unit] = us.split(" ");
        expect(unit).toBe("fl");
        expect(Math.abs(Number(value) * 29.5735295625 - hundredths / 100)).toBeLessThan(0.0149);
      }),
    );
  });
});
