import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { deltaE2000, deltaEab } from "../../src/colour/difference.ts";
import { meanSpectrum, readingStatistics } from "../../src/exchange/readings.ts";

describe("readingStatistics", () => {
  test("mean, spread and mean colour difference from the mean", () => {
    // identity: four corners of a cross around (50, 10, 10), each 2 away in ΔE*ab
    const readings = [
      [50, 12, 10],
      [50, 8, 10],
      [50, 10, 12],
      [50, 10, 8],
    ];
    const found = readingStatistics(readings, [], deltaEab);
    expect([...found.Lab]).toEqual([50, 10, 10]);
    expect(found.meanDifference).toBeCloseTo(2, 12);
    expect(found.largestDifference).toBeCloseTo(2, 12);
    expect(found.spread[0]).toBe(0);
    expect(found.spread[1]).toBeCloseTo(Math.sqrt(8 / 3), 12); // n − 1 in the denominator
    expect(found.outliers).toEqual([]);
  });

  test("one reading has no spread, and says so", () => {
    const found = readingStatistics([[40, 50, 30]], [], deltaE2000);
    expect([...found.Lab]).toEqual([40, 50, 30]);
    expect(found.meanDifference).toBe(0);
    expect(found.notes.join()).toContain("one reading only");
  });

  test("a reading that does not belong is named and left out", () => {
    const readings = [
      [40, 50, 30],
      [40.1, 50.1, 30],
      [46, 44, 25],
      [39.9, 50, 30.1],
    ];
    const found = readingStatistics(readings, ["seat 1", "seat 2", "seat 3", "seat 4"], deltaE2000);
    expect(found.outliers).toEqual([2]);
    expect(found.notes.join()).toContain("seat 3");
    expect(found.Lab[0]).toBeCloseTo(40, 12);
    expect(found.differences[2]).toBeGreaterThan(3);
  });

  test.each([
    [
      "two groups: nobody is the outlier",
      [
        [40, 50, 30],
        [40, 50, 30.1],
        [60, 0, 0],
        [60, 0, 0.1],
      ],
    ],
    [
      "plain scatter",
      [
        [40, 50, 30],
        [40.2, 50, 30],
        [40, 50.4, 30.2],
        [39.9, 49.8, 30.1],
      ],
    ],
    [
      "equal readings but for the last digit",
      [
        [40, 50, 30],
        [40, 50, 30],
        [40, 50, 30],
        [40, 50, 30.1],
      ],
    ],
  ])("%s", (_, readings) => {
    expect(readingStatistics(readings, [], deltaE2000).outliers).toEqual([]);
  });

  test("no readings, or readings that are none, are refused", () => {
    expect(() => readingStatistics([], [], deltaE2000)).toThrow(RangeError);
    expect(() => readingStatistics([[40, Number.NaN, 3]], ["seat 1"], deltaE2000)).toThrow("seat 1");
    expect(() => readingStatistics([[40, 3]], [], deltaE2000)).toThrow(TypeError);
  });

  test("the order of the readings does not matter; an outlier never changes the mean of the others", () => {
    const near = fc.tuple(
      fc.double({ min: 39.9, max: 40.1, noNaN: true }),
      fc.double({ min: 49.9, max: 50.1, noNaN: true }),
      fc.double({ min: 29.9, max: 30.1, noNaN: true }),
    );
    fc.assert(
      fc.property(fc.array(near, { minLength: 4, maxLength: 8 }), (readings) => {
        const alone = readingStatistics(readings, [], deltaE2000);
        const turned = readingStatistics([...readings].reverse(), [], deltaE2000);
        const joined = readingStatistics([...readings, [70, -40, 10]], [], deltaE2000);
        expect(joined.outliers).toEqual([readings.length]);
        for (let axis = 0; axis < 3; axis++) {
          expect(turned.Lab[axis]).toBeCloseTo(alone.Lab[axis], 9);
          if (alone.outliers.length === 0) expect(joined.Lab[axis]).toBeCloseTo(alone.Lab[axis], 9);
        }
      }),
      { seed: 61, numRuns: 300 },
    );
  });
});

describe("meanSpectrum", () => {
  test("mean and standard deviation at each wavelength", () => {
    // identity: two readings a ± d have mean a and standard deviation d·√2
    const { mean, spread } = meanSpectrum([
      [0.2, 0.5],
      [0.4, 0.5],
    ]);
    expect(mean[0]).toBeCloseTo(0.3, 15);
    expect(spread[0]).toBeCloseTo(0.1 * Math.SQRT2, 15);
    expect(spread[1]).toBe(0);
  });

  test("readings on other grids are refused", () => {
    expect(() => meanSpectrum([[0.1, 0.2], [0.1]])).toThrow(TypeError);
    expect(() => meanSpectrum([])).toThrow(RangeError);
  });
});
