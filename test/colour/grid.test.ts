import { describe, expect, test } from "vitest";
import { sameGrid, spectralGrid, wavelengths, workingGrid } from "../../src/colour/grid.ts";

describe("spectral grid", () => {
  test("the working grid runs from 380 to 730 nm by 10 nm", () => {
    // identity: (730 − 380) / 10 + 1
    expect(workingGrid).toEqual({ start: 380, end: 730, step: 10, length: 36 });
    const at = wavelengths(workingGrid);
    expect([at[0], at[1], at[35], at.length]).toEqual([380, 390, 730, 36]);
  });

  test("grids are the same when they hold the same wavelengths", () => {
    expect(sameGrid(workingGrid, spectralGrid(380, 730, 10))).toBe(true);
    expect(sameGrid(workingGrid, spectralGrid(380, 740, 10))).toBe(false);
    expect(sameGrid(workingGrid, spectralGrid(380, 730, 5))).toBe(false);
    expect(sameGrid(workingGrid, spectralGrid(370, 720, 10))).toBe(false);
  });

  test.each([
    ["a step that misses the end", 380, 735, 10],
    ["an end before the start", 730, 380, 10],
    ["a step of nothing", 380, 730, 0],
  ])("refuses %s", (_, start, end, step) => expect(() => spectralGrid(start, end, step)).toThrow(RangeError));
});
