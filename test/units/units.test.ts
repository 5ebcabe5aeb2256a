import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  durationsText,
  durationText,
  fromShown,
  gramPerOunce,
  measureText,
  millilitrePerUsQuart,
  type Quantity,
  readVolume,
  shownUnit,
  toShown,
} from "../../src/units/units.ts";

const seed = 3785411;
const quantities: Quantity[] = [
  "area",
  "volume",
  "mass",
  "thickness",
  "length",
  "speed",
  "volumePerArea",
  "areaPerTime",
  "timePerArea",
  "spreadRate",
  "massPerVolume",
  "moneyPerVolume",
];

test.each<[Quantity, number, number, string]>([
  // source: exact definitions: international inch 25.4 mm, foot 0.3048 m, pound 453.59237 g, US gallon 3.785411784 L.
  // Tolerance 1e-12 relative: double precision.
  ["thickness", 25.4, 1, "mil"],
  ["area", 0.09290304, 1, "ft²"],
  ["volume", 3785.411784 / 128, 1, "fl oz"],
  ["mass", 453.59237 / 16, 1, "oz"],
  ["length", 0.0254, 1, "in"],
  ["speed", 0.3048, 1, "ft/s"],
  ["areaPerTime", 0.09290304, 1, "ft²/min"],
  ["massPerVolume", 453.59237 / 3.785411784, 1, "lb/gal"],
])("%s: %d in the project's unit is %d %s", (quantity, own, shown, unit) => {
  expect(shownUnit(quantity, "us").unit).toBe(unit);
  expect(toShown(own, quantity, "us") / shown).toBeCloseTo(1, 12);
});

test("spread rate in US units", () => {
  // source: exact definitions give 1 m²/L = 40.74583 ft²/gal; tolerance: printed digits
  expect(Math.abs(toShown(1, "spreadRate", "us") - 40.74583)).toBeLessThan(5e-6);
  // source: published spread-rate tables: 35 % at 2 mil covers 280.7 ft²/gal with 1604 ft²·mil to the gallon (relative 1.1e-4)
  expect(Math.abs(toShown((1000 * 0.35) / 50.8, "spreadRate", "us") / 280.7 - 1)).toBeLessThan(1.1e-4);
});

test("what is typed in one unit and shown in it again is the same", () => {
  // identity: there and back, to double precision
  fc.assert(
    fc.property(
      fc.constantFrom(...quantities),
      fc.constantFrom("metric" as const, "us" as const),
      fc.double({ min: 1e-6, max: 1e6, noNaN: true }),
      (quantity, system, value) => {
        expect(toShown(fromShown(value, quantity, system), quantity, system) / value).toBeCloseTo(1, 12);
      },
    ),
    { seed },
  );
});

test("money for a gallon is money for a litre, times the litres in it", () => {
  // identity: the gallon is larger than the litre, so it costs more
  expect(toShown(1, "moneyPerVolume", "us")).toBeCloseTo(3.785411784, 12);
  expect(toShown(1, "timePerArea", "us")).toBeCloseTo(0.09290304, 12);
});

describe("texts", () => {
  test.each([
    [830.77, "metric", "831 mL"],
    [999.4, "metric", "999 mL"],
    [999.6, "metric", "1.00 L"],
    [1243, "metric", "1.24 L"],
    [830.77, "us", "28.1 fl oz"],
    [3785.411784, "us", "1.00 gal"],
  ] as const)("%d mL, %s: %s", (volume, system, text) => {
    expect(measureText(volume, "volume", system)).toBe(text); // source: exact definitions, rounded by hand
  });

  test("durations", () => {
    expect(durationText(44.6)).toBe("45 min"); // identity
    expect(durationText(60)).toBe("1 h");
    expect(durationText(329)).toBe("5 h 29 min");
    expect(durationText(59.7)).toBe("1 h");
  });
});

describe("volumes as people write them", () => {
  test.each([
    ["250", 250],
    ["250 mL", 250],
    [" 1.5 L", 1500],
    ["8 fl oz", (8 * 3785.411784) / 128],
    ["8 fl. oz.", (8 * 3785.411784) / 128],
    ["1 qt", 3785.411784 / 4],
    ["0.5gal", 3785.411784 / 2],
  ])("%s", (text, volume) => expect(readVolume(text)).toBeCloseTo(volume, 9)); // source: exact definitions

  test.each(["", "x", "0", "-5 mL", "5 buckets", "1e9999", "constructor", "5 constructor"])(
    "“%s” is refused and told what is understood",
    (text) => expect(() => readVolume(text)).toThrow(/is not a volume.*250 mL/),
  );

  test("four quarts make a gallon, sixteen ounces a pound", () => {
    expect(4 * millilitrePerUsQuart).toBeCloseTo(3785.411784, 10); // source: exact definitions
    expect(16 * gramPerOunce).toBeCloseTo(453.59237, 12);
  });
});

test("durations as text add up to that of their sum", () => {
  // identity: whole minutes; none is a minute off
  const minutesIn = (text: string) => {
    const [, h = "0", m = "0"] = /^(?:(\d+) h)? ?(?:(\d+) min)?$/.exec(text)!;
    return 60 * Number(h) + Number(m);
  };
  fc.assert(
    fc.property(fc.array(fc.double({ min: 0, max: 3000, noNaN: true }), { maxLength: 9 }), (minutes) => {
      const texts = durationsText(minutes);
      const sum = minutes.reduce((all, each) => all + each, 0);
      expect(texts.reduce((all, text) => all + minutesIn(text), 0)).toBe(Math.round(sum));
      texts.forEach((text, i) => expect(Math.abs(minutesIn(text) - minutes[i])).toBeLessThan(1));
    }),
    { seed },
  );
});
