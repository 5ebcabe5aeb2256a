import { expect, test } from "vitest";
import { fixed } from "../../src/words/fixed.ts";

// identity: rounding; minus nothing is nothing
test.each([
  [-0.04, 1, "0.0"],
  [-0, 2, "0.00"],
  [-5e-17, 0, "0"],
  [-0.06, 1, "-0.1"],
  [12.345, 1, "12.3"],
])("%d with %d decimals is %s", (value, digits, text) => {
  expect(fixed(value, digits)).toBe(text);
});
