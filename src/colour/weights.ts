import { increasing, sameLength } from "./checks.ts";
import { type SpectralGrid, spectralGrid } from "./grid.ts";
import type { IlluminantTable } from "./illuminant.ts";
import type { ObserverName, ObserverTable } from "./observer.ts";

/** Weights whose sum with a reflectance gives X, Y, Z under one light for one observer. */
export interface TristimulusWeights {
  readonly observer: ObserverName;
  readonly illuminant: string;
  readonly grid: SpectralGrid;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
  /** XYZ of the perfect diffuser: the sums of the weights, Y = 100 */
  readonly white: Float64Array;
}

/**
 * Tristimulus weights over the whole range of the observer, at the step of a grid, before folding.
 *
 * A reflectance known every `step` nm is thought of as interpolated to 1 nm: by the cubic through four readings
 * between inner readings, by the parabola through three readings in the first and the last interval. Multiplied by
 * light and observer at 1 nm and summed, that is a weight for each reading. Line-spectrum lamps thus keep their
 * lines, which a sum at 10 nm would lose.
 *
 * @param step whole nm; what is left of the range after the last whole step counts with the last reading
 * @returns weights at every `step` nm of the observer's range, scaled so that the y weights sum to 100
 * @throws RangeError, TypeError for tables that do not fit
 * Source: ASTM E2022, calculation of weighting factors (method, from memory); the light on straight lines between its values.
 */
export function unfoldedWeights(
  observer: ObserverTable,
  illuminant: IlluminantTable,
  step: number,
): TristimulusWeights {
  const first = observer.wavelengths[0];
  const last = observer.wavelengths[observer.wavelengths.length - 1];
  const intervals = Math.floor((last - first) / step);
  if (!Number.isInteger(step) || !(intervals >= 3)) {
    throw new RangeError(
      `step = ${step} nm: must be whole and give at least 4 readings from ${first} to ${last}`,
    );
  }
  const grid = spectralGrid(first, first + intervals * step, step);
  if (observer.wavelengths.length !== last - first + 1) {
    throw new TypeError(`observer ${observer.name} must be tabulated every 1 nm`);
  }
  const power = illuminantAtEachNm(illuminant, first, last);
  const x = weigh(observer.x, power, step, grid.length);
  const y = weigh(observer.y, power, step, grid.length);
  const z = weigh(observer.z, power, step, grid.length);
  return scaledWeights(observer.name, illuminant.name, grid, x, y, z);
}

/**
 * Tristimulus weights on a grid: made over the whole range of the observer, then the weights of wavelengths outside
 * the grid are added to its end points, so that what lies outside counts as if it were equal to the last reading.
 *
 * @throws RangeError, TypeError for tables that do not fit, or a grid that does not lie within the observer's range
 * Source: ASTM E2022 (weights); ASTM E308, section on measured ranges shorter than the tables (from memory).
 */
export function tristimulusWeights(
  observer: ObserverTable,
  illuminant: IlluminantTable,
  grid: SpectralGrid,
): TristimulusWeights {
  const whole = unfoldedWeights(observer, illuminant, grid.step);
  const below = (grid.start - whole.grid.start) / grid.step;
  if (!Number.isInteger(below) || below < 0 || grid.end > whole.grid.end) {
    throw new RangeError(
      `grid ${grid.start} to ${grid.end} nm by ${grid.step} nm: must lie on the observer's range, ` +
        `${whole.grid.start} to ${whole.grid.end} nm, in whole steps`,
    );
  }
  const fold = (weights: Float64Array): Float64Array => {
    const folded = new Float64Array(grid.length);
    for (let i = 0; i < weights.length; i++) {
      folded[Math.min(Math.max(i - below, 0), grid.length - 1)] += weights[i];
    }
    return folded;
  };
  return frozenWeights(observer.name, illuminant.name, grid, fold(whole.x), fold(whole.y), fold(whole.z));
}

/** Scales so that the y weights sum to 100. */
export function scaledWeights(
  observer: ObserverName,
  illuminant: string,
  grid: SpectralGrid,
  x: Float64Array,
  y: Float64Array,
  z: Float64Array,
): TristimulusWeights {
  const scale = 100 / sum(y);
  for (const weights of [x, y, z]) for (let i = 0; i < weights.length; i++) weights[i] *= scale;
  return frozenWeights(observer, illuminant, grid, x, y, z);
}

function frozenWeights(
  observer: ObserverName,
  illuminant: string,
  grid: SpectralGrid,
  x: Float64Array,
  y: Float64Array,
  z: Float64Array,
): TristimulusWeights {
  const white = Float64Array.of(sum(x), sum(y), sum(z));
  return Object.freeze({ observer, illuminant, grid, x, y, z, white });
}

function sum(values: Float64Array): number {
  let total = 0;
  for (const value of values) total += value;
  return total;
}

/** Power at every whole nm from `first` to `last`: on straight lines between the values. */
export function illuminantAtEachNm(illuminant: IlluminantTable, first: number, last: number): Float64Array {
  const { wavelengths: at, power, beyond } = illuminant;
  sameLength("wavelengths", at, "power", power);
  if (at.length < 2) throw new TypeError(`light ${illuminant.name}: at least 2 values are needed`);
  increasing("wavelengths", at, "nm");
  const end = at.length - 1;
  const result = new Float64Array(last - first + 1);
  let left = 0;
  for (let nm = first; nm <= last; nm++) {
    if (nm < at[0]) result[nm - first] = beyond === "held" ? power[0] : 0;
    else if (nm > at[end]) result[nm - first] = beyond === "held" ? power[end] : 0;
    else {
      for (; left < end - 1 && at[left + 1] <= nm; left++);
      const share = (nm - at[left]) / (at[left + 1] - at[left]);
      result[nm - first] = power[left] + share * (power[left + 1] - power[left]);
    }
  }
  return result;
}

/** Adds the product of light and observer at each nm to the readings it would be interpolated from. */
function weigh(observer: Float64Array, power: Float64Array, step: number, length: number): Float64Array {
  const weights = new Float64Array(length);
  for (let nm = 0; nm < observer.length; nm++) {
    const product = power[nm] * observer[nm];
    if (nm > step * (length - 1)) {
      weights[length - 1] += product;
      continue;
    }
    const interval = Math.min(Math.floor(nm / step), length - 2);
    const share = nm / step - interval;
    // The three or four readings around this interval.
    const from = Math.max(interval - 1, 0);
    const to = Math.min(interval + 2, length - 1);
    for (let k = from; k <= to; k++) {
      let factor = 1;
      for (let j = from; j <= to; j++) {
        if (j !== k) factor *= (interval + share - j) / (k - j);
      }
      weights[k] += factor * product;
    }
  }
  return weights;
}
