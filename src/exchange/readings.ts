import { each, finite, triple } from "../colour/checks.ts";
import type { Difference } from "../colour/difference.ts";

/** Statistics of several readings of one surface. */
export interface ReadingStatistics {
  /** CIELAB: mean of the readings that count. */
  readonly Lab: Float64Array;
  /** Standard deviation of L*, a*, b*. */
  readonly spread: Float64Array;
  /** Mean colour difference from the mean, and the largest. */
  readonly meanDifference: number;
  readonly largestDifference: number;
  /** Difference of each reading, in the order given, to the mean. */
  readonly differences: readonly number[];
  /** Indices of readings that do not belong to the others; they are left out of mean and spread. */
  readonly outliers: readonly number[];
  readonly notes: readonly string[];
}

/** Readings of one surface differ by this much without anything being wrong (common practice, ΔE). */
const repeatability = 0.3;
/** A reading this many times further off than the others usually are does not belong to them (common practice). */
const farOff = 4;

/**
 * Mean, spread, mean colour difference from the mean (MCDM) and outliers of readings of one surface.
 *
 * An outlier lies, from the median of all readings (taken axis by axis), at least four times as far as the median
 * distance of the others, and further than plain repeatability. At least three readings are needed to tell one.
 *
 * @param readings CIELAB of each   @param labels to name an outlier   @param difference colour difference to use
 * @param keepAll count the outliers too; they are only named
 * @throws RangeError for no readings or numbers not finite; TypeError for other than three numbers
 * Source: MCDM: Berns, Principles of Color Technology, 4th ed. (from memory); rule for outliers: common practice.
 */
export function readingStatistics(
  readings: readonly ArrayLike<number>[],
  labels: readonly string[],
  difference: Difference,
  keepAll = false,
): ReadingStatistics {
  if (readings.length === 0) throw new RangeError("no readings: at least one is needed");
  readings.forEach((reading, i) => {
    triple(`reading ${labels[i] ?? i + 1}`, reading);
  });
  const strange = outliersOf(readings, difference);
  const outliers = keepAll ? [] : strange;
  const isOut = new Set(outliers);
  const counted = readings.filter((_, i) => !isOut.has(i));
  const Lab = meanOf(counted);
  const spread = Float64Array.from({ length: 3 }, (_, axis) => {
    const squares = counted.reduce((sum, reading) => sum + (reading[axis] - Lab[axis]) ** 2, 0);
    return counted.length > 1 ? Math.sqrt(squares / (counted.length - 1)) : 0;
  });
  const differences = readings.map((reading) => difference(Lab, reading));
  const ofCounted = differences.filter((_, i) => !isOut.has(i));
  const meanDifference = ofCounted.reduce((sum, value) => sum + value, 0) / ofCounted.length;
  const notes: string[] = [];
  for (const i of strange) {
    const name = labels[i] ?? `reading ${i + 1}`;
    notes.push(
      `${name} does not belong to the others (${differences[i].toFixed(1)} from their mean): ` +
        (keepAll ? "counted all the same" : "left out"),
    );
  }
  if (readings.length === 1)
    notes.push("one reading only: its spread is unknown; read at least three places");
  return {
    Lab,
    spread,
    meanDifference,
    largestDifference: ofCounted.reduce((most, value) => Math.max(most, value), 0),
    differences,
    outliers,
    notes,
  };
}

function outliersOf(readings: readonly ArrayLike<number>[], difference: Difference): number[] {
  if (readings.length < 3) return [];
  const centre = Float64Array.from({ length: 3 }, (_, axis) =>
    median(readings.map((reading) => reading[axis])),
  );
  const distances = readings.map((reading) => difference(centre, reading));
  const sorted = Float64Array.from(distances).sort();
  const found = distances.flatMap((distance, i) => {
    const usual = medianWithout(sorted, distance);
    return distance > farOff * Math.max(usual, repeatability / 2) && distance > repeatability ? [i] : [];
  });
  // As many strangers as acquaintances: then nobody is the outlier.
  return 2 * found.length < readings.length ? found : [];
}

/** Mean spectrum of readings on one grid and its standard deviation at each wavelength. */
export function meanSpectrum(spectra: readonly ArrayLike<number>[]): {
  mean: Float64Array;
  spread: Float64Array;
} {
  if (spectra.length === 0) throw new RangeError("no readings: at least one is needed");
  const { length } = spectra[0];
  spectra.forEach((spectrum, k) => {
    if (spectrum.length !== length) {
      throw new TypeError(`reading ${k + 1} has ${spectrum.length} values, but the first has ${length}`);
    }
    each(`reading ${k + 1}`, spectrum, finite);
  });
  const mean = new Float64Array(length);
  const spread = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    for (const spectrum of spectra) mean[i] += spectrum[i] / spectra.length;
    let squares = 0;
    for (const spectrum of spectra) squares += (spectrum[i] - mean[i]) ** 2;
    spread[i] = spectra.length > 1 ? Math.sqrt(squares / (spectra.length - 1)) : 0;
  }
  return { mean, spread };
}

function meanOf(readings: readonly ArrayLike<number>[]): Float64Array {
  return Float64Array.from({ length: 3 }, (_, axis) =>
    readings.reduce((sum, reading) => sum + reading[axis] / readings.length, 0),
  );
}

/** Median of sorted values without one of them: those below it stay in their places, those above move down by one. */
function medianWithout(sorted: Float64Array, value: number): number {
  const middle = (sorted.length - 2) / 2;
  const at = (place: number) => sorted[sorted[place] < value ? place : place + 1];
  return (at(Math.floor(middle)) + at(Math.ceil(middle))) / 2;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = (sorted.length - 1) / 2;
  return (sorted[Math.floor(middle)] + sorted[Math.ceil(middle)]) / 2;
}
