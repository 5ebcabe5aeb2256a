import { quantiles } from "../fit/quantiles.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";
import type { CoefficientBands } from "./bands.ts";
import { type Compiled, compile } from "./compiled.ts";
import { effectiveUnknowns } from "./covariance.ts";
import { fitEstimate } from "./fit.ts";
import { countReadings, standardisedResiduals } from "./noise.ts";
import { predictAll } from "./predict.ts";
import type { CalibrationFit } from "./result.ts";

/** A piece of the bootstrap: replicates `first` … `first + count − 1`. Plain data, fit to be sent to a worker. */
interface BootstrapChunk {
  readonly fit: CalibrationFit;
  readonly seed: number;
  readonly first: number;
  readonly count: number;
}

/** K and S of every replicate of a chunk: [replicate·n + wavelength]. */
interface BootstrapReplicates {
  readonly count: number;
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
}

/** Wavelengths that stay together when residuals are drawn, so that errors that run along the spectrum stay so. */
const blockLength = 6;

const short = { steps: 20, tolerance: 1e-7 };

/**
 * Refits K, S and thicknesses to made-up data: the fitted curves plus residuals drawn in blocks of neighbouring
 * wavelengths from all readings (with a random sign), stated thicknesses and bare grounds shifted by their own σ.
 * Replicate k depends on the seed and k alone, so any split into chunks gives the same replicates.
 *
 * Source: residual bootstrap, Efron 1979; blocks, Künsch 1989.
 */
export function bootstrapChunk({ fit, seed, first, count }: BootstrapChunk): BootstrapReplicates {
  const base = compile(fit.problem, fit.k2Sigma);
  const { n, m } = base;
  const start = { local: fit.local, shared: fit.shared };
  const fitted = predictAll(base, start);
  const unknowns = effectiveUnknowns(base, start, fit.objective);
  const pool = residualPool(base, standardisedResiduals(base, start), unknowns);
  const absorption = new Float64Array(count * n);
  const scattering = new Float64Array(count * n);
  for (let k = 0; k < count; k++) {
    // Neighbouring seeds of the generator are unrelated streams; the odd factor keeps seeds and replicates apart.
    const random = seededRandom(Math.imul(seed, 0x9e3779b1) + Math.imul(first + k, 0x85ebca6b));
    const replicate = redrawn(base, start.local, start.shared, fitted, pool, random);
    const { estimate } = fitEstimate(replicate, start, fit.objective, short);
    for (let i = 0; i < n; i++) {
      absorption[k * n + i] = estimate.local[i * m];
      scattering[k * n + i] = estimate.local[i * m + 1];
    }
  }
  return { count, absorption, scattering };
}

/** Standardised residuals of all readings, each a row of n, enlarged for the unknowns they were fitted with. */
function residualPool(compiled: Compiled, residuals: Float64Array, unknowns: number): Float64Array[] {
  const { n, readings, inverseSigma } = compiled;
  const counted = countReadings(compiled);
  const enlarge = Math.sqrt(counted / Math.max(counted - unknowns, 1));
  const pool: Float64Array[] = [];
  for (let r = 0; r < readings; r++) {
    if (inverseSigma[r] === 0) continue;
    pool.push(Float64Array.from({ length: n }, (_, i) => residuals[i * readings + r] * enlarge));
  }
  return pool;
}

function redrawn(
  base: Compiled,
  local: Float64Array,
  shared: Float64Array,
  fitted: Float64Array,
  pool: readonly Float64Array[],
  random: () => number,
): Compiled {
  const { n, m, p, readings, inverseSigma, localPrecision, loose } = base;
  const values = fitted.slice();
  for (let r = 0; r < readings; r++) {
    for (let from = 0; from < n; from += blockLength) {
      const donor = pool[Math.floor(random() * pool.length)];
      const shift = Math.floor(random() * n);
      const sign = random() < 0.5 ? -1 : 1;
      for (let i = from; i < Math.min(from + blockLength, n); i++) {
        const inverse = inverseSigma[i * readings + r];
        if (inverse > 0) values[i * readings + r] += (sign * donor[(i + shift) % n]) / inverse;
      }
    }
  }
  const localMean = base.localMean.slice();
  for (let k = 0; k < n * m; k++) {
    if (localPrecision[k] > 0)
      localMean[k] = Math.max(0, local[k] + normal(random) / Math.sqrt(localPrecision[k]));
  }
  const sharedMean = base.sharedMean.slice();
  for (let s = 0; s < p; s++) {
    if (loose[s] === 0) sharedMean[s] = shared[s] + normal(random) / Math.sqrt(base.sharedPrecision[s]);
  }
  return { ...base, values, localMean, sharedMean };
}

/**
 * Percentile bands from replicates.
 *
 * @param level probability inside the bands, between 0 and 1
 * @throws RangeError when there are too few replicates for the level
 */
export function bandsFromReplicates(chunks: readonly BootstrapReplicates[], level: number): CoefficientBands {
  const count = chunks.reduce((sum, chunk) => sum + chunk.count, 0);
  const tail = (1 - level) / 2;
  if (!(level > 0 && level < 1) || count * tail < 1 - 1e-9) {
    throw new RangeError(
      `${count} replicates: bands of ${level * 100} % need at least ${Math.ceil(1 / tail - 1e-9)}`,
    );
  }
  const n = chunks[0].absorption.length / chunks[0].count;
  const bands = (curve: (chunk: BootstrapReplicates) => Float64Array) => {
    const low = new Float64Array(n);
    const high = new Float64Array(n);
    const column = new Float64Array(count);
    for (let i = 0; i < n; i++) {
      let at = 0;
      for (const chunk of chunks) {
        const values = curve(chunk);
        for (let k = 0; k < chunk.count; k++) column[at++] = values[k * n + i];
      }
      column.sort();
      [low[i], high[i]] = quantiles(column, [tail, 1 - tail]);
    }
    return { low, high };
  };
  return {
    level,
    absorption: bands((chunk) => chunk.absorption),
    scattering: bands((chunk) => chunk.scattering),
  };
}
