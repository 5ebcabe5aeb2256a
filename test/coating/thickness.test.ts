import { describe, expect, test } from "vitest";
import { buildWarning, coatsOf, dryFromWet, totalDryBuild } from "../../src/coating/thickness.ts";

describe("wet and dry thickness", () => {
  // source: published estimating guides (8 mil wet at 35 % leaves 2.8 mil; thinned 10 %, 2.545); definition of volume solids, ISO 3233. Tolerances: printed digits. Any one unit will do.
  test("dry from wet", () => {
    expect(dryFromWet(8, 0.35)).toBeCloseTo(2.8, 12);
    expect(Math.abs(dryFromWet(8, 0.35, 0.1) - 2.545)).toBeLessThan(0.001);
  });

  test("what cannot be is refused", () => {
    expect(() => dryFromWet(-1, 0.3)).toThrow(/wet thickness.*µm/);
    expect(() => dryFromWet(10, 1.3)).toThrow(/volume solids/);
    expect(() => dryFromWet(10, 0.3, -0.1)).toThrow(/thinner/);
  });
});

describe("coat plan", () => {
  test("light coats first, then heavy ones", () => {
    // common practice: thin first passes, fuller last ones
    const coats = coatsOf({ lightCoats: 2, heavyCoats: 1, lightWet: 15, heavyWet: 30 });
    expect(coats).toEqual([
      { kind: "light", wetThickness: 15 },
      { kind: "light", wetThickness: 15 },
      { kind: "heavy", wetThickness: 30 },
    ]);
    expect(totalDryBuild(coats, 0.28)).toBeCloseTo(16.8, 12); // identity: 60 µm wet · 0.28
    expect(totalDryBuild(coats, 0.28, 0.2)).toBeCloseTo(14, 12); // identity: the same, thinned by 20 %
    expect(totalDryBuild([], 0.28)).toBe(0);
  });

  test("a warning above 60 µm dry", () => {
    // common practice: thick films on flexible trim crack
    expect(buildWarning(60)).toBeUndefined();
    expect(buildWarning(61)).toMatch(/61 µm.*60 µm.*crack/);
    expect(buildWarning(50, 40)).toMatch(/40 µm/);
  });

  test("what cannot be is refused", () => {
    expect(() => coatsOf({ lightCoats: 1.5, heavyCoats: 1, lightWet: 15, heavyWet: 30 })).toThrow(
      /light coats/,
    );
    expect(() => coatsOf({ lightCoats: 1, heavyCoats: 1, lightWet: 15, heavyWet: -1 })).toThrow(/heavy coat/);
    expect(() => buildWarning(-1)).toThrow(/dry build/);
  });
});
