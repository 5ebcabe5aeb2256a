import { expect, test } from "vitest";
import { spreadRate } from "../../src/coating/spread.ts";

test.each([
  // source: published estimating guide (65 % at 125 µm gives 5.2 m²/L); 1 L = 1000 m²·µm; tolerance: printed digits
  [0.65, 125, 5.2],
  [0.28, 36, 7.7778],
  [0.45, 50, 9],
])("volume solids %d at %d µm: %d m²/L", (volumeSolids, dryThickness, expected) => {
  expect(Math.abs(spreadRate(volumeSolids, dryThickness) - expected)).toBeLessThan(5e-5);
});

test("what cannot be is refused", () => {
  expect(() => spreadRate(1.2, 30)).toThrow(/volume solids/);
  expect(() => spreadRate(0.3, 0)).toThrow(/dry thickness.*µm/);
});
