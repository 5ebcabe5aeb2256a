import fc from "fast-check";
import { expect, test } from "vitest";
import { remainder } from "../../src/colour/remainder.ts";
import { reasonsFor } from "../../src/job/price.ts";

const share = fc.double({ min: 0, max: 1, noNaN: true });

test("shares that make up a whole leave exactly nothing, in whatever steps they were reached", () => {
  // identity: second = s, third = 1 − s; taken from 1 nothing is left
  let dusty = 0;
  fc.assert(
    fc.property(share, share, (a, b) => {
      const second = a * (1 - b) + a * b;
      const third = 1 - second;
      const split = third * 0.3;
      if (1 - second - split - third * 0.7 !== 0) dusty++;
      expect(remainder(1, second, split, third * 0.7)).toBe(0);
    }),
    { numRuns: 2000, seed: 3 },
  );
  expect(dusty).toBeGreaterThan(50); // plain subtraction does leave something
});

test("what is truly left stays to the last digit", () => {
  fc.assert(
    fc.property(share, share, (whole, part) => {
      if (Math.abs(whole - part) > 1e-9) expect(remainder(whole, part)).toBe(whole - part);
    }),
  );
});

test("jobs that are the same but for the order of their sums have no reason to differ in price", () => {
  const rates = { labourPerHour: 60, markup: 0.3, tax: 0.2 };
  const amount = fc.double({ min: 0.01, max: 1000, noNaN: true });
  let dusty = 0;
  fc.assert(
    fc.property(fc.array(amount, { minLength: 4, maxLength: 12 }), (steps) => {
      const forth = steps.reduce((sum, each) => sum + each, 0);
      const back = steps.reduceRight((sum, each) => sum + each, 0);
      const job = (minutes: number) => ({
        basecoat: { materials: minutes / 3, minutes },
        colour: { volume: minutes, costPerMl: minutes / 7, minutes },
        development: { materials: minutes, minutes },
        rest: { materials: minutes, minutes },
      });
      if (forth !== back) dusty++;
      for (const { materials, minutes, price } of reasonsFor(job(forth), job(back), rates))
        expect([materials, minutes, price]).toEqual([0, 0, 0]);
    }),
    { numRuns: 1000, seed: 4 },
  );
  expect(dusty).toBeGreaterThan(50);
});
