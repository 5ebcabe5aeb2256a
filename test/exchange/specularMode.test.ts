import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { convertSpecularMode, specularHint } from "../../src/exchange/specularMode.ts";
import { toMeasured } from "../../src/optics/interface.ts";

describe("specular mode", () => {
  test("the two modes of one film differ by k1 (Saunderson 1942, independent route through the interface model)", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 0.1, noNaN: true }),
        fc.double({ min: 0, max: 0.7, noNaN: true }),
        (R, k1, k2) => {
          const included = toMeasured(R, k1, k2, "included");
          const excluded = toMeasured(R, k1, k2, "excluded");
          expect(convertSpecularMode([included], "included", "excluded", k1).values[0]).toBeCloseTo(
            excluded,
            12,
          );
          expect(convertSpecularMode([excluded], "excluded", "included", k1).values[0]).toBeCloseTo(
            included,
            12,
          );
        },
      ),
      { seed: 71, numRuns: 300 },
    );
  });

  test("converting warns; converting to the same mode does nothing", () => {
    expect(convertSpecularMode([0.2], "included", "excluded").notes.join()).toContain("glossy");
    expect(convertSpecularMode([0.2], "included", "included")).toEqual({
      values: Float64Array.of(0.2),
      notes: [],
    });
  });

  test("values that cannot have been in the stated mode are kept and pointed out", () => {
    const { values, notes } = convertSpecularMode([0.01, 0.3], "included", "excluded");
    expect(values[0]).toBeCloseTo(-0.03, 12);
    expect(notes.join()).toContain("at 1 wavelengths values fall below 0");
    expect(convertSpecularMode([0.99], "excluded", "included").notes.join()).toContain("above 1");
  });

  test.each([
    [[0.3, 0.02, 0.5], true],
    [[0.3, 0.0385, 0.5], false],
    [[0.3, 0.05, 0.5], false],
  ])("%j looks like specular excluded: %s", (values, looks) => {
    const hint = specularHint([400, 500, 600], values);
    expect(hint !== undefined).toBe(looks);
    if (hint !== undefined) expect(hint).toContain("500 nm");
  });

  test("arrays that do not fit and constants out of range are refused", () => {
    expect(() => specularHint([400], [0.1, 0.2])).toThrow(TypeError);
    expect(() => convertSpecularMode([0.1], "included", "excluded", 1.5)).toThrow(RangeError);
    expect(() => convertSpecularMode([Number.NaN], "included", "excluded")).toThrow(RangeError);
  });
});
