import { each, finite, increasing, sameLength } from "./checks.ts";
import { type SpectralGrid, workingGrid } from "./grid.ts";

/** Values on a grid, and in words what had to be done to bring them there. */
interface Resampled {
  readonly values: Float64Array;
  readonly notes: string[];
}

/** Readings must reach this far, nm: hardly any light that the eye weighs lies outside. */
const needed = { from: 400, to: 700 } as const;
/** Readings further apart than this, nm, leave too much to guess (common practice). */
const widestGap = 40;
const coincident = 1e-6;

/**
 * Brings readings at any wavelengths onto a grid.
 *
 * A grid point that has a reading takes it as it is. Between readings it takes the cubic through the four nearest
 * (Lagrange); where that cubic would leave 0…1 although all four readings lie inside (or fall below 0 although none
 * does), the straight line between the two neighbours. Beyond the readings the last one is held. Each of these is
 * told in a note. A constant stays exactly constant.
 *
 * @param wavelengths nm, increasing, reaching at least from 400 to 700   @param values one for each wavelength
 * @param grid the working grid unless told otherwise
 * @throws TypeError for lengths that differ; RangeError for values not finite, wavelengths that do not rise, readings
 * that do not cover 400 to 700 nm or are more than 40 nm apart
 * Source: CIE 167:2005 (interpolation and holding the last value, from memory).
 */
export function resampleToGrid(
  wavelengths: ArrayLike<number>,
  values: ArrayLike<number>,
  grid: SpectralGrid = workingGrid,
): Resampled {
  sameLength("wavelengths", wavelengths, "values", values);
  each("wavelengths", wavelengths, finite, "nm");
  each("values", values, finite);
  increasing("wavelengths", wavelengths, "nm");
  const gap = checkReach(wavelengths, grid);
  const count = wavelengths.length;
  const first = wavelengths[0];
  const last = wavelengths[count - 1];
  const result = new Float64Array(grid.length);
  let picked = 0;
  let interpolated = 0;
  let straightened = 0;
  let right = 0;
  for (let i = 0; i < grid.length; i++) {
    const nm = grid.start + i * grid.step;
    if (nm <= first) {
      result[i] = values[0];
      if (nm > first - coincident) picked++;
      continue;
    }
    if (nm >= last) {
      result[i] = values[count - 1];
      if (nm < last + coincident) picked++;
      continue;
    }
    for (; right < count && wavelengths[right] < nm - coincident; right++);
    if (Math.abs(wavelengths[right] - nm) <= coincident) {
      result[i] = values[right];
      picked++;
      continue;
    }
    const from = Math.min(Math.max(right - 2, 0), count - 4);
    let value = cubic(wavelengths, values, from, nm);
    if (leavesRange(value, values, from)) {
      const share = (nm - wavelengths[right - 1]) / (wavelengths[right] - wavelengths[right - 1]);
      value = values[right - 1] + share * (values[right] - values[right - 1]);
      straightened++;
    }
    result[i] = value;
    interpolated++;
  }
  const notes: string[] = [];
  if (interpolated > 0) {
    notes.push(
      `interpolated at ${interpolated} of ${grid.length} wavelengths between readings up to ${gap} nm apart`,
    );
  } else if (count > picked) {
    notes.push(`picked ${picked} of ${count} readings, one every ${grid.step} nm`);
  }
  if (straightened > 0) {
    notes.push(`straight line instead of a curve at ${straightened} wavelengths, to stay within 0 to 1`);
  }
  if (first - coincident > grid.start) {
    notes.push(
      `extended downwards by ${first - grid.start} nm: the reading at ${first} nm is held to ${grid.start} nm`,
    );
  }
  if (last + coincident < grid.end) {
    notes.push(
      `extended upwards by ${grid.end - last} nm: the reading at ${last} nm is held to ${grid.end} nm`,
    );
  }
  return { values: result, notes };
}

/** The widest step, nm, between the readings that the grid is made from. @throws RangeError where they do not suffice */
function checkReach(wavelengths: ArrayLike<number>, grid: SpectralGrid): number {
  const count = wavelengths.length;
  const first = wavelengths[0];
  const last = wavelengths[count - 1];
  if (count < 4 || first > needed.from || last < needed.to) {
    const found = count === 0 ? "there are none" : `they run from ${first} to ${last} nm (${count} readings)`;
    throw new RangeError(
      `the readings must cover ${needed.from} to ${needed.to} nm with at least 4 wavelengths, but ${found}`,
    );
  }
  const gap = widestSpacing(wavelengths, Math.max(first, grid.start), Math.min(last, grid.end));
  if (gap > widestGap) {
    throw new RangeError(
      `the readings are up to ${gap} nm apart; at most ${widestGap} nm can be interpolated`,
    );
  }
  return gap;
}

/** Largest distance between neighbours that bound a piece of from…to. */
function widestSpacing(wavelengths: ArrayLike<number>, from: number, to: number): number {
  let widest = 0;
  for (let i = 1; i < wavelengths.length; i++) {
    if (wavelengths[i] > from && wavelengths[i - 1] < to) {
      widest = Math.max(widest, wavelengths[i] - wavelengths[i - 1]);
    }
  }
  return widest;
}

/** Cubic through four readings, written as the first one plus differences so that a constant stays exact. */
function cubic(wavelengths: ArrayLike<number>, values: ArrayLike<number>, from: number, nm: number): number {
  let value = values[from];
  for (let k = from + 1; k < from + 4; k++) {
    let factor = values[k] - values[from];
    for (let j = from; j < from + 4; j++) {
      if (j !== k) factor *= (nm - wavelengths[j]) / (wavelengths[k] - wavelengths[j]);
    }
    value += factor;
  }
  return value;
}

function leavesRange(value: number, values: ArrayLike<number>, from: number): boolean {
  let lowest = Infinity;
  let highest = -Infinity;
  for (let k = from; k < from + 4; k++) {
    lowest = Math.min(lowest, values[k]);
    highest = Math.max(highest, values[k]);
  }
  return (value < 0 && lowest >= 0) || (value > 1 && lowest >= 0 && highest <= 1);
}
