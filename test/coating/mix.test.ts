import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Component, checkComponent } from "../../src/coating/component.ts";
import { mixFilmInto, mixOf } from "../../src/coating/mix.ts";
import { flatComponent } from "./components.ts";

const seed = 19400296;

const red = flatComponent("red paste", 0.8, 0.05, { density: 1.2, volumeSolids: 0.4 });
const white = flatComponent("white paste", 0.001, 0.4, { density: 1.8, volumeSolids: 0.5 });
const binder = flatComponent("clear binder", 0.0001, 0.0002, {
  role: "binder",
  density: 1.03,
  volumeSolids: 0.25,
});

const film = (components: readonly Component[], dryFractions: ArrayLike<number>): [number, number] => {
  const K = new Float64Array(36);
  const S = new Float64Array(36);
  mixFilmInto(components, dryFractions, K, S);
  return [K[17], S[17]];
};

describe("mixing by wet volume", () => {
  test("a mix worked by hand", () => {
    // identity: 5 mL red (0.4), 10 mL white (0.5), 85 mL binder (0.25): dry 2 + 5 + 21.25 = 28.25 mL in 100 mL
    const mix = mixOf([red, white, binder], [5, 10, 85]);
    expect([...mix.dryFractions]).toEqual([2 / 28.25, 5 / 28.25, 21.25 / 28.25]);
    expect(mix.volumeSolids).toBeCloseTo(0.2825, 15);
    expect(mix.density).toBeCloseTo((5 * 1.2 + 10 * 1.8 + 85 * 1.03) / 100, 15);
    expect(mix.loading).toBeCloseTo(0.15, 15);
    const [K, S] = film([red, white, binder], mix.dryFractions);
    expect(K).toBeCloseTo((2 * 0.8 + 5 * 0.001 + 21.25 * 0.0001) / 28.25, 15);
    expect(S).toBeCloseTo((2 * 0.05 + 5 * 0.4 + 21.25 * 0.0002) / 28.25, 15);
  });

  test("one component alone is itself", () => {
    // identity
    const mix = mixOf([red, white], [7, 0]);
    expect([...mix.dryFractions]).toEqual([1, 0]);
    expect([mix.volumeSolids, mix.density, mix.loading]).toEqual([0.4, 1.2, 1]);
    expect(film([red, white], mix.dryFractions)).toEqual([0.8, 0.05]);
  });

  const component = fc
    .record({
      K: fc.double({ min: 0, max: 2, noNaN: true }),
      S: fc.double({ min: 0, max: 2, noNaN: true }),
      density: fc.double({ min: 0.8, max: 3, noNaN: true }),
      volumeSolids: fc.double({ min: 0.05, max: 1, noNaN: true }),
      role: fc.constantFrom("paste" as const, "binder" as const, "base paint" as const),
      volume: fc.double({ min: 0.01, max: 500, noNaN: true }),
    })
    .map(({ K, S, volume, ...more }) => ({ component: flatComponent("any", K, S, more), volume }));
  const pot = fc.array(component, { minLength: 1, maxLength: 8 });
  const near = (a: number, b: number) =>
    expect(Math.abs(a - b)).toBeLessThanOrEqual(1e-12 * Math.max(1, Math.abs(b)));

  test("order and scale do not matter", () => {
    // identity: sums do not depend on order, shares not on the size of the batch
    fc.assert(
      fc.property(pot, fc.double({ min: 0.001, max: 1000, noNaN: true }), (parts, factor) => {
        const components = parts.map((part) => part.component);
        const volumes = parts.map((part) => part.volume);
        const mix = mixOf(components, volumes);
        const [K, S] = film(components, mix.dryFractions);
        const other = mixOf(
          components.toReversed(),
          volumes.toReversed().map((volume) => volume * factor),
        );
        const [otherK, otherS] = film(components.toReversed(), other.dryFractions);
        near(otherK, K);
        near(otherS, S);
        near(other.volumeSolids, mix.volumeSolids);
        near(other.density, mix.density);
        near(other.loading, mix.loading);
        for (const [j, fraction] of other.dryFractions.toReversed().entries())
          near(fraction, mix.dryFractions[j]);
      }),
      { seed },
    );
  });

  test("nothing is lost: dry fractions sum to 1, mass and dry volume are those poured in", () => {
    // identity: conservation
    fc.assert(
      fc.property(pot, (parts) => {
        const components = parts.map((part) => part.component);
        const volumes = parts.map((part) => part.volume);
        const mix = mixOf(components, volumes);
        const wet = volumes.reduce((a, b) => a + b);
        near(
          mix.dryFractions.reduce((a, b) => a + b),
          1,
        );
        near(
          mix.density * wet,
          parts.reduce((sum, part) => sum + part.component.density * part.volume, 0),
        );
        near(
          mix.volumeSolids * wet,
          parts.reduce((sum, part) => sum + part.component.volumeSolids * part.volume, 0),
        );
      }),
      { seed },
    );
  });

  test("pouring two mixes together equals mixing all at once", () => {
    // identity: K and S add by dry volume (Duncan 1940, from memory)
    const first = mixOf([red, binder], [4, 36]);
    const second = mixOf([white, binder], [10, 50]);
    const dryFirst = 40 * first.volumeSolids;
    const drySecond = 60 * second.volumeSolids;
    const [K1, S1] = film([red, binder], first.dryFractions);
    const [K2, S2] = film([white, binder], second.dryFractions);
    const all = mixOf([red, white, binder], [4, 10, 86]);
    const [K, S] = film([red, white, binder], all.dryFractions);
    expect((K1 * dryFirst + K2 * drySecond) / (dryFirst + drySecond)).toBeCloseTo(K, 15);
    expect((S1 * dryFirst + S2 * drySecond) / (dryFirst + drySecond)).toBeCloseTo(S, 15);
  });

  test("what cannot be is refused", () => {
    expect(() => mixOf([red, white], [1])).toThrow(TypeError);
    expect(() => mixOf([red], [-1])).toThrow(/red paste.*mL/);
    expect(() => mixOf([red, white], [0, 0])).toThrow(/all 0/);
    expect(() => mixOf([flatComponent("water", 0, 0, { volumeSolids: 0 })], [5])).toThrow(/no dry film/);
    expect(() => mixFilmInto([red], [1], new Float64Array(36), new Float64Array(35))).toThrow(TypeError);
    expect(() => mixFilmInto([red], [1], new Float64Array(35), new Float64Array(35))).toThrow(/red paste/);
  });
});

describe("checking a component", () => {
  test("a sound one passes", () => {
    expect(() =>
      checkComponent({ ...red, absorptionSigma: new Float64Array(36), costPerMl: 0.4 }),
    ).not.toThrow();
  });

  test.each([
    ["volume solids above 1", { volumeSolids: 1.1 }, /red paste: volume solids/],
    ["no density", { density: 0 }, /red paste: density.*g\/mL/],
    ["a spectrum off the grid", { absorption: new Float64Array(31) }, /red paste: absorption has 31/],
    ["negative scattering", { scattering: new Float64Array(36).fill(-1) }, /red paste: scattering\[0\]/],
    ["negative cost", { costPerMl: -1 }, /cost per mL/],
  ])("refused: %s", (_, wrong, message) => {
    expect(() => checkComponent({ ...red, ...wrong })).toThrow(message);
  });
});
