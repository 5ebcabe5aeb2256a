import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type CostedJob,
  moneyText,
  priceOf,
  printedPrice,
  printedReasons,
  reasonsFor,
} from "../../src/job/price.ts";

const seed = 120;
const rates = { labourPerHour: 60, markup: 0.3, tax: 0.2 };

describe("the price of a job", () => {
  test("hours, materials, mark-up, tax", () => {
    // source: arithmetic by hand: 90 min at 60 = 90; materials 50 + 30 % = 65; net 155; tax 31
    const price = priceOf(
      [
        { id: "a", label: "A", materials: 20, minutes: 30 },
        { id: "b", label: "B", materials: 30, minutes: 60 },
      ],
      rates,
    );
    expect(price).toMatchObject({ minutes: 90, materials: 50, labour: 90 });
    expect(price.markup).toBeCloseTo(15, 12);
    expect(price.net).toBeCloseTo(155, 12);
    expect(price.tax).toBeCloseTo(31, 12);
    expect(price.total).toBeCloseTo(186, 12);
    expect(price.lines.map((line) => Number(line.price.toFixed(9)))).toEqual([56, 99]);
  });

  test("the lines add up to the net price", () => {
    // identity: sum
    const line = fc.record({
      id: fc.string(),
      label: fc.string(),
      materials: fc.double({ min: 0, max: 1e4, noNaN: true }),
      minutes: fc.double({ min: 0, max: 1e4, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(line, { maxLength: 12 }), (lines) => {
        const { lines: priced, net } = priceOf(lines, rates);
        expect(priced.reduce((sum, { price }) => sum + price, 0)).toBeCloseTo(net, 6);
      }),
      { seed },
    );
  });

  test.each([
    [{ labourPerHour: -1 }, /labour/],
    [{ markup: -0.1 }, /mark-up/],
    [{ tax: -0.1 }, /tax/],
    [{ labourPerHour: Number.POSITIVE_INFINITY }, /labour/],
  ])("%j is refused", (wrong, message) => {
    expect(() => priceOf([], { ...rates, ...wrong })).toThrow(message);
    expect(() => priceOf([{ id: "a", label: "A", materials: -1, minutes: 0 }], rates)).toThrow(
      /materials of A/,
    );
    expect(() => priceOf([{ id: "a", label: "A", materials: 0, minutes: -1 }], rates)).toThrow(/time of A/);
  });
});

describe("what is printed adds up", () => {
  const cents = (amount: number) => Math.round(100 * amount) + 0;
  const line = fc.record({
    id: fc.string(),
    label: fc.string(),
    materials: fc.double({ min: 0, max: 1e4, noNaN: true }),
    minutes: fc.double({ min: 0, max: 1e4, noNaN: true }),
  });

  test("lines, tax and total, to the cent; no line is a cent off", () => {
    // identity: sums of hundredths
    fc.assert(
      fc.property(fc.array(line, { maxLength: 12 }), (lines) => {
        const exact = priceOf(lines, rates);
        const printed = printedPrice(exact, rates);
        expect(printed.lines.reduce((sum, { price }) => sum + cents(price), 0)).toBe(cents(printed.net));
        expect(printed.lines.reduce((sum, { materials }) => sum + cents(materials), 0)).toBe(
          cents(printed.materials),
        );
        expect(cents(printed.net) + cents(printed.tax)).toBe(cents(printed.total));
        expect(cents(printed.materials) + cents(printed.markup) + cents(printed.labour)).toBe(
          cents(printed.net),
        );
        printed.lines.forEach(({ price }, i) => {
          expect(Math.abs(price - exact.lines[i].price)).toBeLessThan(0.00501);
        });
      }),
      { seed },
    );
  });

  test("the reasons make up the difference", () => {
    const some = fc.array(fc.double({ min: -1e4, max: 1e4, noNaN: true }), { minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(some, fc.integer({ min: -5, max: 5 }), (prices, off) => {
        const reasons = prices.map((price) => ({ id: "rest" as const, materials: 0, minutes: 0, price }));
        const difference = (Math.round(100 * prices.reduce((sum, price) => sum + price, 0) + off) + 0) / 100;
        const printed = printedReasons(reasons, difference);
        expect(printed.reduce((sum, { price }) => sum + cents(price), 0)).toBe(cents(difference));
      }),
      { seed },
    );
  });
});

describe("why one colour costs more than another", () => {
  const red: CostedJob = {
    basecoat: { materials: 40, minutes: 60 },
    colour: { volume: 1200, costPerMl: 0.13, minutes: 100 },
    development: { materials: 30, minutes: 480 },
    rest: { materials: 60, minutes: 150 },
  };
  const grey: CostedJob = {
    basecoat: { materials: 0, minutes: 0 },
    colour: { volume: 800, costPerMl: 0.06, minutes: 75 },
    development: { materials: 5, minutes: 120 },
    rest: { materials: 55, minutes: 150 },
  };

  test("reason by reason", () => {
    const price = (id: string) => reasonsFor(red, grey, rates).find((reason) => reason.id === id)!.price;
    // source: arithmetic by hand
    expect(price("basecoat")).toBeCloseTo(40 * 1.3 + 60, 9);
    expect(price("coats")).toBeCloseTo(400 * 0.06 * 1.3 + 25, 9);
    expect(price("pigment")).toBeCloseTo(1200 * 0.07 * 1.3, 9);
    expect(price("development")).toBeCloseTo(25 * 1.3 + 360, 9);
    expect(price("rest")).toBeCloseTo(5 * 1.3, 9);
  });

  test("nothing is left unexplained", () => {
    // identity: the reasons sum to the difference of the net prices
    const amount = fc.double({ min: 0, max: 1e4, noNaN: true });
    const part = fc.record({ materials: amount, minutes: amount });
    const anyJob = fc.record({
      basecoat: part,
      colour: fc.record({
        volume: amount,
        costPerMl: fc.double({ min: 0, max: 10, noNaN: true }),
        minutes: amount,
      }),
      development: part,
      rest: part,
    });
    const net = ({ basecoat, colour, development, rest }: CostedJob) =>
      priceOf(
        [
          { id: "b", label: "b", ...basecoat },
          {
            id: "c",
            label: "c",
            materials: colour.volume * colour.costPerMl,
            minutes: colour.minutes,
          },
          { id: "d", label: "d", ...development },
          { id: "r", label: "r", ...rest },
        ],
        rates,
      ).net;
    fc.assert(
      fc.property(anyJob, anyJob, (job, other) => {
        const sum = reasonsFor(job, other, rates).reduce((total, { price }) => total + price, 0);
        const difference = net(job) - net(other);
        expect(Math.abs(sum - difference)).toBeLessThan(1e-9 * (net(job) + net(other) + 1));
      }),
      { seed, numRuns: 300 },
    );
  });

  test("the same job beside itself has no reason", () => {
    for (const { price } of reasonsFor(red, red, rates)) expect(price).toBe(0); // identity
  });
});

test.each([
  [1245.556, "€", "€1\u202f245.56"],
  [302.105, "€", "€302.11"],
  [0, "$", "$0.00"],
  [-12.345, "$", "−$12.35"],
  [-0.001, "$", "$0.00"],
  [71, "kr", "71.00 kr"],
  [71, "", "71.00"],
  [1234567, "CHF", "1\u202f234\u202f567.00 CHF"],
])("%d in %s", (amount, currency, text) => {
  expect(moneyText(amount, currency)).toBe(text); // identity: rounding and grouping of digits
});
