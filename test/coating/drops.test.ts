import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { dropsFor, dropsPerMl, roundToDrops, usualDropsPerMl } from "../../src/coating/drops.ts";

const seed = 1895461;

describe("drops to the mL", () => {
  test("dropper of the pharmacopoeia", () => {
    // source: USP 32 <1101> Medicine dropper: water drops of 45 to 55 mg; tolerance: printed digits
    expect(Math.abs(dropsPerMl(55) - 18.2)).toBeLessThan(0.05);
    expect(Math.abs(dropsPerMl(45) - 22.2)).toBeLessThan(0.05);
    expect(dropsPerMl(50)).toBe(usualDropsPerMl);
  });

  test("a wider tip gives larger drops", () => {
    // source: Eschbaum 1895, as in Bulletin of Pharmacy 9, 461–462: 3.07 mm tip 0.0522 g, 6.56 mm tip 0.1000 g of water
    expect(Math.abs(dropsPerMl(52.2) - 19.16)).toBeLessThan(0.005);
    expect(dropsPerMl(100)).toBe(10);
    expect(dropsPerMl(50, 1.25)).toBe(25); // identity: a denser drop of the same mass is smaller
  });

  test("small mixes", () => {
    expect(dropsFor(0.35)).toBe(7); // source: 0.35 mL at 20 drops/mL
    expect(dropsFor(0.35, 10)).toBe(4);
    expect(() => dropsFor(-1)).toThrow(/mL/);
    expect(() => dropsPerMl(0)).toThrow(/mg/);
  });
});

describe("rounding a recipe to whole drops", () => {
  test("three colours into 40 drops", () => {
    // source: largest remainder (Hamilton's method), worked by hand: 24.8, 10.8, 4.4
    const drops = roundToDrops([0.62, 0.27, 0.11], 40);
    expect([...drops]).toEqual([25, 11, 4]);
    expect([...drops].map((n) => n / 40)).toEqual([0.625, 0.275, 0.1]);
  });

  test("whole dues stay as they are, ties go to the first", () => {
    expect([...roundToDrops([0.1, 0.2, 0.7], 10)]).toEqual([1, 2, 7]); // identity, despite 0.1 + 0.2 + 0.7 ≠ 1
    expect([...roundToDrops([1, 1, 1], 10)]).toEqual([4, 3, 3]); // identity: 3⅓ each, one drop over
    expect([...roundToDrops([1, 0], 7)]).toEqual([7, 0]); // identity: what is not in the recipe gets no drop
    expect([...roundToDrops([3, 1], 0)]).toEqual([0, 0]);
  });

  test("drops sum to the total, and none is a whole drop off its due", () => {
    // identity: property of the method (quota rule)
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 100, noNaN: true }), { minLength: 1, maxLength: 12 }),
        fc.integer({ min: 0, max: 2000 }),
        (amounts, total) => {
          const sum = amounts.reduce((a, b) => a + b);
          fc.pre(sum > 0);
          const drops = roundToDrops(amounts, total);
          expect(drops.reduce((a, b) => a + b)).toBe(total);
          for (const [j, n] of drops.entries()) {
            expect(Math.abs(n - (amounts[j] / sum) * total)).toBeLessThan(1 + 1e-5);
          }
        },
      ),
      { seed, numRuns: 500 },
    );
  });

  test("what cannot be is refused", () => {
    expect(() => roundToDrops([0, 0], 10)).toThrow(/all 0/);
    expect(() => roundToDrops([1, -1], 10)).toThrow(/amount\[1\]/);
    expect(() => roundToDrops([1, 1], 2.5)).toThrow(/whole number/);
  });
});
