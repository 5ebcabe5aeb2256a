import { aboveZero, finite } from "./checks.ts";

/** Evenly spaced wavelengths, nm: `start`, `start + step`, … `end`, `length` of them. */
export interface SpectralGrid {
  readonly start: number;
  readonly end: number;
  readonly step: number;
  readonly length: number;
}

/**
 * A grid from its ends and step, nm.
 * @throws RangeError when the step does not lead from `start` to `end`
 */
export function spectralGrid(start: number, end: number, step: number): SpectralGrid {
  finite("start", start, "nm");
  finite("end", end, "nm");
  aboveZero("step", step, "nm");
  const intervals = (end - start) / step;
  if (intervals < 0 || !Number.isInteger(intervals)) {
    throw new RangeError(`grid ${start} to ${end} nm: cannot be walked in whole steps of ${step} nm`);
  }
  return Object.freeze({ start, end, step, length: intervals + 1 });
}

/** The one grid on which the workbench computes: 380…730 nm by 10 nm, 36 points. */
export const workingGrid: SpectralGrid = spectralGrid(380, 730, 10);

/** The wavelengths of a grid, nm, as a new array. */
export function wavelengths(grid: SpectralGrid): Float64Array {
  return Float64Array.from({ length: grid.length }, (_, i) => grid.start + i * grid.step);
}

/** Whether two grids hold the same wavelengths. */
export function sameGrid(a: SpectralGrid, b: SpectralGrid): boolean {
  return a.start === b.start && a.step === b.step && a.length === b.length;
}
