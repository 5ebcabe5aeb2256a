import { describe, expect, test } from "vitest";
import {
  aboveZero,
  atLeastZero,
  each,
  finite,
  fraction,
  increasing,
  ofLength,
  sameLength,
  triple,
  wholeNumber,
  within,
} from "../../src/colour/checks.ts";

// identity: a refusal names what was given, its unit and what is allowed
describe("argument checks", () => {
  test.each([
    ["not a number", () => finite("K", Number.NaN, "1/µm"), RangeError, /K = NaN 1\/µm.*finite/],
    ["not even of the type", () => finite("K", "3" as unknown as number), TypeError, /K must be a number/],
    ["infinite", () => atLeastZero("X", Number.POSITIVE_INFINITY, "µm"), RangeError, /X = Infinity µm/],
    ["negative", () => atLeastZero("X", -1, "µm"), RangeError, /X = -1 µm: must be at least 0/],
    ["zero", () => aboveZero("step", 0, "nm"), RangeError, /step = 0 nm: must be above 0/],
    ["above 1", () => fraction("Rg", 1.2), RangeError, /Rg = 1.2: must be from 0 to 1/],
    [
      "outside a range",
      () => within("angle", 91, 0, 90, "°"),
      RangeError,
      /angle = 91 °: must be from 0 to 90/,
    ],
    ["not whole", () => wholeNumber("coats", 1.5), RangeError, /coats = 1.5: must be a whole number/],
    ["too short", () => ofLength("K", [1], 36), TypeError, /K has 1 values, but 36 are needed/],
    ["differing lengths", () => sameLength("K", [1], "S", [1, 2]), TypeError, /K has 1 values, but S has 2/],
    ["one bad value of many", () => each("K", [0, -2], atLeastZero, "1/µm"), RangeError, /K\[1\] = -2 1\/µm/],
    [
      "not rising",
      () => increasing("wavelengths", [400, 400], "nm"),
      RangeError,
      /wavelengths\[1\] = 400 nm/,
    ],
    ["not three", () => triple("XYZ", [1, 2]), TypeError, /XYZ has 2 values, but 3/],
  ] as const)("refuses what is %s", (_, check, kind, message) => {
    expect(check).toThrow(kind);
    expect(check).toThrow(message);
  });

  test("lets good values pass", () => {
    expect(() => {
      finite("a", -3);
      atLeastZero("a", 0);
      aboveZero("a", 1e-300);
      fraction("a", 1);
      within("a", 5, 5, 5);
      wholeNumber("a", 0);
      sameLength("a", [1], "b", [2]);
      increasing("a", [1, 2, 3]);
      triple("a", [0, -1, 2]);
    }).not.toThrow();
  });
});
