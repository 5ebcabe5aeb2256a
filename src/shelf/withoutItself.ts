import { reflectanceToLab } from "../colour/Lab.ts";
import type { ShelfDraws } from "./calibrateShelf.ts";
import { lightness, precisionOf, readingError } from "./readingError.ts";
import type { ShelfReading } from "./shelf.ts";

const { freedom, independent } = readingError;

/** One draw counts at most this many times the middle one: a few draws must not stand for all. */
const heaviest = 8;

/**
 * The prediction of a reading from all the others, without a fit of its own: draws count the more, the less they owe to
 * this reading (weights 1 / likelihood, cut off).
 *
 * @param seen as measured
 * @returns posterior mean reflectance
 * Source: Gelfand, Dey, Chang 1992; cut off after Ionides 2008.
 */
export function meanWithoutItself(
  draws: ShelfDraws,
  reading: number,
  readings: number,
  seen: NonNullable<ShelfReading["seen"]>,
): Float64Array {
  const points = draws.reflectance.length / (draws.count * readings);
  const logs = logLikelihoods(draws, reading, readings, points, seen);
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
  points: number,
  seen: NonNullable<ShelfReading["seen"]>,
): Float64Array {
  const target = seen.kind === "Lab" ? Float64Array.from(seen.Lab) : seen.reflectance.map(lightness);
  const precision =
    seen.kind === "Lab"
      ? new Float64Array(3).fill(1 / Math.hypot(seen.sigma, readingError.misfitLab))
      : precisionOf(seen.reflectance);
  const computed = new Float64Array(target.length);
  const d = Math.min(target.length, independent);
  return draws.scale.map((scale, draw) => {
    const at = (draw * readings + reading) * points;
    const R = draws.reflectance.subarray(at, at + points);
    if (seen.kind === "Lab") reflectanceToLab(R, seen.weights, computed);
    else for (let i = 0; i < points; i++) computed[i] = lightness(R[i]);
    let square = 0;
    for (let i = 0; i < target.length; i++) square += (precision[i] * (target[i] - computed[i])) ** 2;
    const part = (square * d) / (target.length * scale * scale);
    return -0.5 * (freedom + d) * Math.log1p(part / freedom) - d * Math.log(scale);
  });
}
