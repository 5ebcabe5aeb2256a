import type { SpectralGrid } from "../../src/colour/grid.ts";
import type { IlluminantTable } from "../../src/colour/illuminant.ts";
import type { ObserverTable } from "../../src/colour/observer.ts";
import { illuminantAtEachNm, scaledWeights, type TristimulusWeights } from "../../src/colour/weights.ts";

/**
 * Weights by plain summation at the step of a grid: light times observer, scaled so that the y weights sum to 100.
 * For spectra measured every 5 nm or finer; at 10 nm it loses the lines of a lamp, so nothing but tests should
 * use it there.
 *
 * @throws RangeError, TypeError for tables that do not fit or a grid that does not lie within the observer's range
 * Source: CIE 15:2004, 7.1 (summation at a step Δλ).
 */
export function summationWeights(
  observer: ObserverTable,
  illuminant: IlluminantTable,
  grid: SpectralGrid,
): TristimulusWeights {
  const first = observer.wavelengths[0];
  const last = observer.wavelengths[observer.wavelengths.length - 1];
  if (
    !Number.isInteger(grid.start) ||
    !Number.isInteger(grid.step) ||
    grid.start < first ||
    grid.end > last
  ) {
    throw new RangeError(
      `grid ${grid.start} to ${grid.end} nm: must be whole nm within ${first} to ${last} nm`,
    );
  }
  const power = illuminantAtEachNm(illuminant, first, last);
  const pick = (function_: Float64Array) =>
    Float64Array.from({ length: grid.length }, (_, i) => {
      const nm = grid.start + i * grid.step - first;
      return power[nm] * function_[nm];
    });
  return scaledWeights(
    observer.name,
    illuminant.name,
    grid,
    pick(observer.x),
    pick(observer.y),
    pick(observer.z),
  );
}
