import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { spectralGrid, wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { resampleToGrid } from "../../src/colour/resample.ts";

const every = (start: number, end: number, step: number) => wavelengths(spectralGrid(start, end, step));

describe("resampleToGrid", () => {
  test("readings on the grid come through untouched and without a note", () => {
    // identity
    const values = Float64Array.from({ length: 36 }, (_, i) => Math.sin(i) ** 2);
    expect(resampleToGrid(wavelengths(workingGrid), values)).toEqual({ values, notes: [] });
  });

  test("finer readings are picked, and the note says so", () => {
    // identity: every second of the readings at 5 nm stands on the grid
    const at = every(380, 730, 5);
    const { values, notes } = resampleToGrid(
      at,
      at.map((nm) => 1 / nm),
    );
    expect(values).toEqual(wavelengths(workingGrid).map((nm) => 1 / nm));
    expect(notes).toEqual(["picked 36 of 71 readings, one every 10 nm"]);
  });

  test("a cubic is met everywhere between the readings, also at uneven ones", () => {
    // identity: four-point Lagrange interpolation is exact for polynomials up to the third degree
    const at = [370, 391, 405, 433, 447, 471, 502, 528, 541, 577, 603, 628, 664, 689, 712, 741];
    const cubic = (nm: number) => 0.5 + 0.3 * ((nm - 550) / 200) ** 3 - 0.1 * ((nm - 550) / 200) ** 2;
    const { values, notes } = resampleToGrid(at, at.map(cubic));
    // Rounding only: values of about 1, products of a few terms.
    values.forEach((value, i) => {
      expect(value).toBeCloseTo(cubic(380 + 10 * i), 13);
    });
    expect(notes).toEqual(["interpolated at 36 of 36 wavelengths between readings up to 36 nm apart"]);
  });

  test("a constant stays exactly constant", () => {
    // identity; seeded random readings
    const gaps = fc.array(fc.double({ min: 0.5, max: 39, noNaN: true }), { minLength: 30, maxLength: 60 });
    fc.assert(
      fc.property(gaps, fc.double({ min: -10, max: 10, noNaN: true }), (steps, constant) => {
        const at = [300];
        for (const step of steps) at.push(at[at.length - 1] + step);
        fc.pre(at[at.length - 1] >= 700);
        const { values } = resampleToGrid(
          at,
          at.map(() => constant),
        );
        expect([...values].every((value) => value === constant)).toBe(true);
      }),
      { seed: 380730 },
    );
  });

  test("the last readings are held beyond the ends, and the notes say how far", () => {
    const at = every(400, 700, 10);
    const { values, notes } = resampleToGrid(
      at,
      at.map((nm) => nm / 1000),
    );
    expect([...values.slice(0, 4)]).toEqual([0.4, 0.4, 0.4, 0.41]);
    expect([...values.slice(-4)]).toEqual([0.7, 0.7, 0.7, 0.7]);
    expect(notes).toEqual([
      "extended downwards by 20 nm: the reading at 400 nm is held to 380 nm",
      "extended upwards by 30 nm: the reading at 700 nm is held to 730 nm",
    ]);
  });

  test("a curve that would leave 0 to 1 is replaced by the straight line, and the note says so", () => {
    // identity: at the middle of a step from 0 to 1 the cubic undershoots beside it by 1/16
    const at = every(375, 735, 10);
    const { values, notes } = resampleToGrid(
      at,
      at.map((nm) => (nm < 550 ? 0 : 1)),
    );
    expect(Math.min(...values)).toBe(0);
    expect(Math.max(...values)).toBe(1);
    expect(values[(550 - 380) / 10]).toBe(0.5);
    expect(notes[1]).toBe("straight line instead of a curve at 2 wavelengths, to stay within 0 to 1");
  });

  test.each([
    ["readings that start too late", every(410, 730, 10), /400 to 700 nm.*from 410 to 730 nm/],
    ["readings that end too early", every(380, 690, 10), /400 to 700 nm.*from 380 to 690 nm/],
    ["no readings", new Float64Array(0), /there are none/],
    ["too few readings", Float64Array.of(390, 550, 720), /3 readings/],
    ["readings too far apart", every(350, 750, 50), /up to 50 nm apart/],
    ["wavelengths that turn back", Float64Array.of(380, 500, 480, 600, 720), /wavelengths\[2\] = 480 nm/],
    ["a wavelength that is not a number", Float64Array.of(380, Number.NaN, 500, 720), /wavelengths\[1\]/],
  ])("refuses %s", (_, at, message) => {
    expect(() => resampleToGrid(at, new Float64Array(at.length))).toThrow(RangeError);
    expect(() => resampleToGrid(at, new Float64Array(at.length))).toThrow(message);
  });

  test("refuses values that are missing or not finite", () => {
    const at = wavelengths(workingGrid);
    expect(() => resampleToGrid(at, new Float64Array(35))).toThrow(TypeError);
    const holed = new Float64Array(36);
    holed[7] = Number.NaN;
    expect(() => resampleToGrid(at, holed)).toThrow(/values\[7\]/);
  });
});
