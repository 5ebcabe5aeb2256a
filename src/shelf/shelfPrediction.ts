import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { quantiles } from "../fit/quantiles.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";
import type { ShelfDraws } from "./calibrateShelf.ts";
import { errorFactor, fromLightness, lightness } from "./readingError.ts";

/** What the posterior says of one reading. */
interface ReadingPrediction {
  /** posterior mean as an instrument would see it */
  readonly reflectance: Float64Array;
  readonly Lab: Float64Array;
  /** ΔE00 to the mean within which nine of ten readings should lie */
  readonly band90: number;
}

/** Readings drawn from each draw of the posterior. */
const each = 4;

/**
 * The mean of a reading over the draws, and how far from it a reading may fall: what K, S and thickness leave open, and
 * the error of the film itself.
 */
export function predictReading(
  draws: ShelfDraws,
  reading: number,
  readings: number,
  wavelengths: Float64Array,
  weights: TristimulusWeights,
  seed: number,
): ReadingPrediction {
  const points = wavelengths.length;
  const drawn = (d: number) => {
    const at = (d * readings + reading) * points;
    return draws.reflectance.subarray(at, at + points);
  };
  const reflectance = new Float64Array(points);
  for (let d = 0; d < draws.count; d++) {
    const R = drawn(d);
    for (let i = 0; i < points; i++) reflectance[i] += R[i] / draws.count;
  }
  const Lab = reflectanceToLab(reflectance, weights, new Float64Array(3));
  const factor = errorFactor(wavelengths, reflectance);
  const random = seededRandom(seed + 7919 * reading);
  const error = new Float64Array(points);
  const seen = new Float64Array(points);
  const seenLab = new Float64Array(3);
  const distances = new Float64Array(draws.count * each);
  for (let d = 0; d < distances.length; d++) {
    const R = drawn(d % draws.count);
    // Usual films: the heavy tail of Student's t is for films that went wrong, one in ten at most.
    const scale = draws.scale[d % draws.count];
    for (let i = 0; i < points; i++) error[i] = normal(random);
    for (let i = 0; i < points; i++) {
      let sum = 0;
      for (let j = 0; j <= i; j++) sum += factor[i * points + j] * error[j];
      seen[i] = fromLightness(lightness(R[i]) + scale * sum);
    }
    distances[d] = deltaE2000(Lab, reflectanceToLab(seen, weights, seenLab));
  }
  distances.sort();
  return { reflectance, Lab, band90: quantiles(distances, [0.9])[0] };
}
