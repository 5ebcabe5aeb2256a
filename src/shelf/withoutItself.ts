import type { ShelfDraws } from "./calibrateShelf.ts";
import { lightness, precisionOf, readingError } from "./readingError.ts";

const { freedom, independent } = readingError;

/** One draw counts at most this many times the middle one: a few draws must not stand for all. */
const heaviest = 8;

/**
 * The prediction of a reading from all the others, without a fit of its own: draws count the more, the less they owe to
 * this reading (weights 1 / likelihood, cut off).
 *
 * @param reflectance as measured
 * @returns posterior mean reflectance
 * Source: Gelfand, Dey, Chang 1992; cut off after Ionides 2008.
 */
export function meanWithoutItself(
  draws: ShelfDraws,
  reading: number,
  readings: number,
  reflectance: Float64Array,
): Float64Array {
  const points = reflectance.length;
  const logs = logLikelihoods(draws, reading, readings, reflectance);
  const sorted = Float64Array.from(logs).sort();
  const middle = sorted[sorted.length >> 1];
  const mean = new Float64Array(points);
  let total = 0;
  for (let d = 0; d < draws.count; d++) {
    const weight = Math.min(Math.exp(middle - logs[d]), heaviest);
    total += weight;
    const at = (d * readings + reading) * points;
    for (let i = 0; i < points; i++) mean[i] += weight * draws.reflectance[at + i];
  }
  return mean.map((value) => value / total);
}

function logLikelihoods(
  draws: ShelfDraws,
  reading: number,
  readings: number,
  reflectance: Float64Array,
): Float64Array {
  const points = reflectance.length;
  const precision = precisionOf(reflectance);
  const seen = reflectance.map(lightness);
  const d = Math.min(points, independent);
  return draws.scale.map((scale, draw) => {
    const at = (draw * readings + reading) * points;
    let square = 0;
    for (let i = 0; i < points; i++) {
      square += (precision[i] * (seen[i] - lightness(draws.reflectance[at + i]))) ** 2;
    }
    const part = (square * d) / (points * scale * scale);
    return -0.5 * (freedom + d) * Math.log1p(part / freedom) - d * Math.log(scale);
  });
}
