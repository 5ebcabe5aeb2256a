import { factorInPlace } from "./denseAlgebra.ts";
import { normal, seededRandom } from "./seededRandom.ts";

/** Log density of a point, which lies in `points` from `at`; it need not be scaled. −Infinity where nothing can be. */
type LogDensity = (points: Float64Array, at: number) => number;

/** Where a distribution lies: mean (n) and covariance (n × n, row by row). */
export interface Moments {
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
}

/** Points with weights that sum to 1; together they stand for a distribution. */
interface WeightedCloud {
  readonly dimension: number;
  readonly size: number;
  /** Point i from i·dimension. */
  readonly points: Float64Array;
  readonly weights: Float64Array;
  /** Log of the integral of the density. */
  readonly logTotal: number;
  /** How many points of equal weight the cloud is worth: 1/Σw². */
  readonly worth: number;
}

/** Rounds of adaptation at most; a round narrows the proposal to where the density lies. */
const mostRounds = 8;
const adaptingSize = 800;
/** Share of a round's points that must still count after weighting; the density is flattened until it does. */
const keptShare = 0.12;
/** The proposal fits when so large a share counts without flattening. */
const fittingShare = 0.3;
/** Degrees of freedom of the proposal: its tails are longer than those of the density. */
const freedom = 5;

/**
 * A distribution as a cloud of weighted points, by importance sampling from a Student t that is fitted to the density in a
 * few rounds, each with the density flattened (raised to a power below 1) as far as needed.
 *
 * @param start a wide guess of mean and covariance   @param size points of the cloud   @param seed equal seeds, equal clouds
 * @param rounds of adaptation at most; 0 where the start fits as it is
 * Source: population Monte Carlo (Cappé, Guillin, Marin, Robert 2004); Student proposal and tempering common practice.
 */
export function weightedCloud(
  logDensity: LogDensity,
  start: Moments,
  size: number,
  seed: number,
  rounds = mostRounds,
): WeightedCloud {
  const dimension = start.mean.length;
  const draws = drawsOf(dimension, adaptingSize * rounds + size, seed);
  let moments = start;
  for (let round = 0; round < rounds; round++) {
    const { points, logRatios } = propose(logDensity, moments, draws, round * adaptingSize, adaptingSize);
    const power = flattening(logRatios);
    const { weights, worth } = weightsOf(logRatios, power);
    moments = momentsOf(points, weights, dimension);
    if (power === 1 && worth > fittingShare * adaptingSize) break;
  }
  const { points, logRatios } = propose(logDensity, moments, draws, adaptingSize * rounds, size);
  const { weights, worth, logMean } = weightsOf(logRatios, 1);
  return { dimension, size, points, weights, logTotal: logMean, worth };
}

/** Mean and covariance of weighted points. */
export function momentsOf(points: Float64Array, weights: Float64Array, dimension: number): Moments {
  const mean = new Float64Array(dimension);
  const covariance = new Float64Array(dimension * dimension);
  for (let k = 0; k < weights.length; k++) {
    for (let i = 0; i < dimension; i++) mean[i] += weights[k] * points[k * dimension + i];
  }
  for (let k = 0; k < weights.length; k++) {
    const w = weights[k];
    if (w === 0) continue;
    const at = k * dimension;
    for (let i = 0; i < dimension; i++) {
      const d = w * (points[at + i] - mean[i]);
      for (let j = 0; j <= i; j++) covariance[i * dimension + j] += d * (points[at + j] - mean[j]);
    }
  }
  for (let i = 0; i < dimension; i++) {
    for (let j = 0; j < i; j++) covariance[j * dimension + i] = covariance[i * dimension + j];
  }
  return { mean, covariance };
}

interface Proposed {
  readonly points: Float64Array;
  /** Log of density over proposal. */
  readonly logRatios: Float64Array;
}

function propose(
  logDensity: LogDensity,
  { mean, covariance }: Moments,
  draws: Draws,
  from: number,
  size: number,
): Proposed {
  const n = mean.length;
  const { factor, logDeterminant } = factorOf(covariance, n);
  // Log density of the t at its centre.
  const top =
    logGamma((freedom + n) / 2) -
    logGamma(freedom / 2) -
    (n / 2) * Math.log(freedom * Math.PI) -
    logDeterminant;
  const points = new Float64Array(size * n);
  const logRatios = new Float64Array(size);
  for (let k = 0; k < size; k++) {
    const stretch = draws.stretch[from + k];
    let square = 0;
    for (let i = 0; i < n; i++) {
      let sum = 0;
      for (let j = 0; j <= i; j++) sum += factor[i * n + j] * draws.normals[(from + k) * n + j];
      points[k * n + i] = mean[i] + stretch * sum;
      const z = stretch * draws.normals[(from + k) * n + i];
      square += z * z;
    }
    const logProposal = top - ((freedom + n) / 2) * Math.log1p(square / freedom);
    logRatios[k] = logDensity(points, k * n) - logProposal;
  }
  return { points, logRatios };
}

function weightsOf(logRatios: Float64Array, power: number) {
  let top = -Infinity;
  for (const ratio of logRatios) if (ratio > top) top = ratio;
  const weights = new Float64Array(logRatios.length);
  if (top === -Infinity) throw new RangeError("the density is nothing wherever it was tried");
  let sum = 0;
  let squares = 0;
  for (let k = 0; k < weights.length; k++) {
    const w = Math.exp(power * (logRatios[k] - top));
    weights[k] = w;
    sum += w;
    squares += w * w;
  }
  for (let k = 0; k < weights.length; k++) weights[k] /= sum;
  return { weights, worth: (sum * sum) / squares, logMean: top + Math.log(sum / weights.length) };
}

/** The greatest power up to 1 that leaves enough points counting. */
function flattening(logRatios: Float64Array): number {
  const enough = keptShare * logRatios.length;
  if (weightsOf(logRatios, 1).worth >= enough) return 1;
  let low = 0;
  let high = 1;
  for (let step = 0; step < 12; step++) {
    const middle = (low + high) / 2;
    if (weightsOf(logRatios, middle).worth >= enough) low = middle;
    else high = middle;
  }
  return low;
}

/** Lower Cholesky factor; a trace is added to the diagonal, so that points in a plane have one too. */
function factorOf(covariance: Float64Array, n: number): { factor: Float64Array; logDeterminant: number } {
  const factor = covariance.slice();
  for (let i = 0; i < n; i++) factor[i * n + i] = factor[i * n + i] * (1 + 1e-9) + 1e-12;
  if (!factorInPlace(factor, n)) throw new RangeError("covariance is not positive definite");
  let logDeterminant = 0;
  for (let i = 0; i < n; i++) logDeterminant += Math.log(factor[i * n + i]);
  return { factor, logDeterminant };
}

interface Draws {
  readonly normals: Float64Array;
  /** √(freedom/χ²) for each point, which makes a t of a normal. */
  readonly stretch: Float64Array;
}

/** Draws made so far, as the same few are asked for again and again. */
const kept = new Map<string, Draws>();
const mostKept = 6;

function drawsOf(dimension: number, size: number, seed: number): Draws {
  const key = `${dimension} ${size} ${seed}`;
  const known = kept.get(key);
  if (known) return known;
  const random = seededRandom(seed);
  const normals = Float64Array.from({ length: dimension * size }, () => normal(random));
  const stretch = Float64Array.from({ length: size }, () => {
    let square = 0;
    for (let i = 0; i < freedom; i++) square += normal(random) ** 2;
    return Math.sqrt(freedom / square);
  });
  if (kept.size >= mostKept) kept.clear();
  const draws = { normals, stretch };
  kept.set(key, draws);
  return draws;
}

/** ln Γ of a whole or half number above 0. */
function logGamma(x: number): number {
  let sum = 0;
  let at = x;
  for (; at > 1; at--) sum += Math.log(at - 1);
  return at === 1 ? sum : sum + Math.log(Math.PI) / 2;
}
