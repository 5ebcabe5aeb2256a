import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type BudgetLayer, type LightBudget, lightBudget } from "../../src/optics/budget.ts";
import { filmReflectance } from "../../src/optics/film.ts";
import { toMeasured } from "../../src/optics/interface.ts";

const seed = 19540331;
const layer = (K: number, S: number, X: number): BudgetLayer => ({
  absorption: [K],
  scattering: [S],
  dryThickness: X,
});
const sumOf = (budget: LightBudget, i = 0): number =>
  budget.reflected[i] + budget.substrate[i] + budget.layers.reduce((sum, share) => sum + share[i], 0);

describe("light budget of a stack", () => {
  // source: Kubelka 1954, balance of fluxes at each boundary; tolerance 1e-6: printed digits
  test.each([
    {
      films: [
        [2.5, 0.15, 0.4],
        [0.8, 1, 0.5],
        [0.05, 2.5, 0.6],
      ],
      Rg: 0.25,
      reflected: 0.071428,
      absorbed: [0.712549, 0.148934, 0.005907],
      substrate: 0.061182,
    },
    {
      films: [
        [4, 0.3, 0.1],
        [4, 0.3, 0.1],
        [4, 0.3, 0.1],
      ],
      Rg: 0.6,
      reflected: 0.078815,
      absorbed: [0.358825, 0.253755, 0.196096],
      substrate: 0.112509,
    },
  ])("$films over $Rg", ({ films, Rg, reflected, absorbed, substrate }) => {
    const budget = lightBudget(
      films.map(([K, S, X]) => layer(K, S, X)),
      [Rg],
    );
    expect(Math.abs(budget.reflected[0] - reflected)).toBeLessThan(1e-6);
    for (const [j, share] of absorbed.entries()) {
      expect(Math.abs(budget.layers[j][0] - share)).toBeLessThan(1e-6);
    }
    expect(Math.abs(budget.substrate[0] - substrate)).toBeLessThan(1e-6);
    expect(Math.abs(sumOf(budget) - 1)).toBeLessThan(1e-12);
  });

  const film = fc
    .tuple(
      fc.double({ min: 0, max: 3, noNaN: true }),
      fc.double({ min: 0, max: 3, noNaN: true }),
      fc.double({ min: 0, max: 30, noNaN: true }),
    )
    .map(([K, S, X]) => layer(K, S, X));
  const share = fc.double({ min: 0, max: 1, noNaN: true });
  const surface = fc.option(
    fc.record({
      externalReflection: fc.double({ min: 0, max: 0.2, noNaN: true }),
      internalReflection: fc.double({ min: 0, max: 0.8, noNaN: true }),
    }),
    { nil: undefined },
  );

  test("shares are never negative and sum to 1, with and without surface", () => {
    // identity: conservation of energy; the shares are formed independently of one another
    fc.assert(
      fc.property(fc.array(film, { maxLength: 5 }), share, surface, (films, Rg, constants) => {
        const budget = lightBudget(films, [Rg], constants);
        for (const part of [budget.reflected, budget.substrate, ...budget.layers]) {
          expect(part[0]).toBeGreaterThanOrEqual(0);
        }
        expect(Math.abs(sumOf(budget) - 1)).toBeLessThan(1e-12);
      }),
      { seed, numRuns: 500 },
    );
  });

  test("what comes back is the reflectance of the films laid one by one", () => {
    // identity
    fc.assert(
      fc.property(film, film, share, (top, below, Rg) => {
        const at = (one: BudgetLayer, ground: number) =>
          filmReflectance(one.absorption[0], one.scattering[0], one.dryThickness, ground);
        const R = at(top, at(below, Rg));
        expect(Math.abs(lightBudget([top, below], [Rg]).reflected[0] - R)).toBeLessThan(1e-12);
        // source: Saunderson 1942: of the share 1 − k1 that enters, what leaves again is the specular-excluded reflectance
        const surface = { externalReflection: 0.04, internalReflection: 0.6 };
        const left = 0.96 * lightBudget([top, below], [Rg], surface).reflected[0];
        expect(Math.abs(left - toMeasured(R, 0.04, 0.6, "excluded"))).toBeLessThan(1e-12);
      }),
      { seed },
    );
  });

  test("a film cut in two absorbs as much as the whole", () => {
    // identity
    const whole = lightBudget([layer(0.1, 0.2, 10)], [0.4]);
    const cut = lightBudget([layer(0.1, 0.2, 4), layer(0.1, 0.2, 6)], [0.4]);
    expect(cut.layers[0][0] + cut.layers[1][0]).toBeCloseTo(whole.layers[0][0], 13);
    expect(cut.substrate[0]).toBeCloseTo(whole.substrate[0], 13);
  });

  test("no layers: ground alone, with and without surface", () => {
    const bare = lightBudget([], [0.25]);
    expect([bare.reflected[0], bare.substrate[0]]).toEqual([0.25, 0.75]); // identity
    // identity: geometric series of what the surface sends back, (1 − k2)R/(1 − k2R)
    const covered = lightBudget([], [0.25], { externalReflection: 0.04, internalReflection: 0.6 });
    expect(covered.reflected[0]).toBeCloseTo((0.4 * 0.25) / (1 - 0.6 * 0.25), 14);
  });

  test("wavelengths do not mix", () => {
    const both = lightBudget([{ absorption: [1, 0.1], scattering: [0.2, 2], dryThickness: 3 }], [0.1, 0.9]);
    const first = lightBudget([layer(1, 0.2, 3)], [0.1]);
    const second = lightBudget([layer(0.1, 2, 3)], [0.9]);
    expect([...both.layers[0]]).toEqual([first.layers[0][0], second.layers[0][0]]); // identity
  });

  test("what cannot be is refused", () => {
    expect(() => lightBudget([layer(1, 1, -1)], [0.1])).toThrow(/dry thickness of layer 1/);
    expect(() => lightBudget([layer(-1, 1, 1)], [0.1])).toThrow(/absorption/);
    expect(() => lightBudget([layer(1, 1, 1)], [0.1, 0.2])).toThrow(TypeError);
    expect(() => lightBudget([], [1.2])).toThrow(RangeError);
    expect(() => lightBudget([], [0.2], { externalReflection: 0.04, internalReflection: 1 })).toThrow(/k2/);
  });
});
