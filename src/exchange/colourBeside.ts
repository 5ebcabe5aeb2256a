import { deltaE2000 } from "../colour/difference.ts";
import { XYZToLab } from "../colour/Lab.ts";
import type { ObserverName } from "../colour/observer.ts";
import { resampleToGrid } from "../colour/resample.ts";
import { reflectanceToXYZ } from "../colour/XYZ.ts";
import { DoubtfulFileError } from "../tables/doubt.ts";
import { weightsFor } from "../tables/weights.ts";
import type { ColourSample, SpectralSample } from "./colourSample.ts";

/** Rounding, coarse steps and other weights make less (ΔE00, common practice). */
const most = 5;
const usualLights = ["D65", "D50", "C", "A"];
const observers: readonly ObserverName[] = ["1964-10", "1931-2"];

/**
 * Asks where L*, a*, b* stated beside a spectrum are far from those of the spectrum, under the light and observer that
 * the file says, or under any of the usual ones where it does not.
 *
 * @throws DoubtfulFileError
 */
export function refuseOtherColour(samples: readonly ColourSample[], file: string): void {
  for (const sample of samples) {
    if (sample.kind !== "spectrum" || !sample.reported) continue;
    const difference = leastDifference(sample, sample.reported);
    if (!(difference > most)) continue;
    throw new DoubtfulFileError(
      "beside",
      file,
      `the L*, a*, b* stated beside the spectrum are ΔE00 ${difference.toFixed(1)} from those of the spectrum`,
      undefined,
      sample.label.slice(0, 60),
    );
  }
}

function leastDifference(sample: SpectralSample, reported: NonNullable<SpectralSample["reported"]>): number {
  let curve: Float64Array;
  try {
    curve = resampleToGrid(sample.wavelengths, sample.values).values;
  } catch (error) {
    // A spectrum of another range has no colour to compare; whoever wants its colour says so.
    if (error instanceof RangeError) return 0;
    throw error;
  }
  const XYZ = new Float64Array(3);
  const Lab = new Float64Array(3);
  let least = Infinity;
  for (const light of reported.illuminant ? [reported.illuminant] : usualLights) {
    for (const observer of reported.observer ? [reported.observer] : observers) {
      const weights = weightsFor(observer, light);
      reflectanceToXYZ(curve, weights, XYZ);
      least = Math.min(least, deltaE2000(XYZToLab(XYZ, weights.white, Lab), reported.Lab));
    }
  }
  return least;
}
