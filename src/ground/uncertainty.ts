import { wholeNumber } from "../colour/checks.ts";
import { type Range90, range90 } from "../fit/quantiles.ts";
import { seededRandom } from "../fit/seededRandom.ts";
import type { SplitContext } from "../tasks/longTask.ts";
import { GroundChain } from "./chain.ts";
import { checkJob, type GroundJob, type GroundPoint } from "./job.ts";
import { JobDraws } from "./jobDraws.ts";
import { checkSpread, type JobSpread } from "./spread.ts";

/** Sources of doubt, in the order of the results. */
export const doubtSources = [
  "colour film build",
  "basecoat film build",
  "blend ratio",
  "doses",
  "K and S",
] as const;

export type DoubtSource = (typeof doubtSources)[number];

/** A Monte Carlo of a whole job. */
export interface UncertaintyRequest {
  readonly job: GroundJob;
  readonly point: GroundPoint;
  readonly spread: JobSpread;
  /** Whole chains for the median and the range; made up to the next even number. */
  readonly samples: number;
  readonly seed: number;
}

/**
 * A share of the work: pairs of samples from…to. The result of all chunks together does not depend on how
 * they are cut.
 */
interface UncertaintyChunk extends UncertaintyRequest {
  readonly from: number;
  readonly to: number;
}

/** Differences that a chunk came up with. */
interface UncertaintyDraws {
  readonly from: number;
  /** Worst part of the first and the second sample of each pair. */
  readonly first: Float64Array;
  readonly second: Float64Array;
  /** Each part of both samples: part p from p·2·pairs. */
  readonly parts: Float64Array;
  /** The second sample with one source taken from the first: source s from s·pairs. */
  readonly exchanged: Float64Array;
}

interface DoubtShare {
  readonly source: DoubtSource;
  /**
   * First-order Sobol index: share of the variance that would go if this alone were exact. Sampling may put
   * it a little below 0.
   */
  readonly share: number;
  /** Total index: with everything that it does together with other sources. */
  readonly total: number;
  /** Standard error of the first-order share. */
  readonly standardError: number;
}

export interface Uncertainty {
  /** Of the part that comes out worst in each case. */
  readonly worst: Range90 & { readonly mean: number; readonly standardDeviation: number };
  readonly parts: readonly Range90[];
  /** Greatest first. */
  readonly shares: readonly DoubtShare[];
  /** Differences of the worst part, rising. */
  readonly sorted: Float64Array;
  readonly samples: number;
  readonly method: string;
  readonly notes: readonly string[];
}

// Pairs drawn from one stream of random numbers. Chunks are cut between such blocks.
const blockPairs = 25;

/** Cuts a request into chunks for so many workers. */
export function uncertaintyChunks(request: UncertaintyRequest, chunks: number): UncertaintyChunk[] {
  wholeNumber("samples", request.samples, 2);
  wholeNumber("chunks", chunks, 1);
  const pairs = Math.ceil(request.samples / 2);
  const blocks = Math.ceil(pairs / blockPairs);
  const edge = (c: number): number => Math.min(pairs, Math.round((c * blocks) / chunks) * blockPairs);
  return Array.from({ length: chunks }, (_, c) => ({ ...request, from: edge(c), to: edge(c + 1) })).filter(
    ({ from, to }) => to > from,
  );
}

/**
 * The chains of one chunk.
 * @throws RangeError, TypeError for a job, a point or a spread that cannot be computed
 */
export function drawUncertainty(chunk: UncertaintyChunk): UncertaintyDraws {
  const { job, point, spread, seed, from, to } = chunk;
  checkSpread(spread);
  const draws = new JobDraws(job, spread);
  const chain = new GroundChain(job, draws);
  const pairs = to - from;
  const parts = job.substrates.length;
  const sources = doubtSources.length;
  const first = new Float64Array(pairs);
  const second = new Float64Array(pairs);
  const byPart = new Float64Array(parts * 2 * pairs);
  const exchanged = new Float64Array(sources * pairs);
  const a = draws.create();
  const b = draws.create();
  const mixed = draws.create();
  let random = seededRandom(0);
  for (let k = 0; k < pairs; k++) {
    const pair = from + k;
    if (pair % blockPairs === 0 || k === 0)
      random = seededRandom(blockSeed(seed, Math.floor(pair / blockPairs)));
    draws.drawInto(random, a);
    draws.drawInto(random, b);
    first[k] = chain.at(point, a);
    for (let p = 0; p < parts; p++) byPart[p * 2 * pairs + 2 * k] = chain.differences[p];
    second[k] = chain.at(point, b);
    for (let p = 0; p < parts; p++) byPart[p * 2 * pairs + 2 * k + 1] = chain.differences[p];
    for (let s = 0; s < sources; s++) {
      if (!draws.isUncertain(s)) {
        exchanged[s * pairs + k] = second[k];
        continue;
      }
      draws.exchangeInto(b, a, s, mixed);
      exchanged[s * pairs + k] = chain.at(point, mixed);
    }
  }
  return { from, first, second, parts: byPart, exchanged };
}

/** A seed for each block, far apart for neighbours (finaliser of MurmurHash3; from memory). */
function blockSeed(seed: number, block: number): number {
  let h = (Math.imul(seed | 0, 0x9e3779b1) ^ Math.imul(block + 1, 0x85ebca6b)) >>> 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/**
 * Median, 90 % range and contributions from the draws of all chunks.
 *
 * Source: Sobol 1993; estimators of Saltelli et al. 2010 and Jansen 1999 (from memory). Doses, coefficients
 * and so on count as groups.
 */
export function combineUncertainty(
  { job, spread }: UncertaintyRequest,
  draws: readonly UncertaintyDraws[],
): Uncertainty {
  const ordered = [...draws].sort((p, q) => p.from - q.from);
  const pairs = ordered.reduce((sum, { first }) => sum + first.length, 0);
  const joined = (of: (d: UncertaintyDraws) => Float64Array): Float64Array => {
    const out = new Float64Array(ordered.reduce((sum, d) => sum + of(d).length, 0));
    let at = 0;
    for (const d of ordered) {
      out.set(of(d), at);
      at += of(d).length;
    }
    return out;
  };
  const first = joined((d) => d.first);
  const second = joined((d) => d.second);
  const sorted = new Float64Array(2 * pairs);
  sorted.set(first);
  sorted.set(second, pairs);
  const mean = sorted.reduce((sum, d) => sum + d, 0) / sorted.length;
  const variance = sorted.reduce((sum, d) => sum + (d - mean) ** 2, 0) / sorted.length;
  sorted.sort();
  const parts = job.substrates.map((_, p) => {
    const of = joined((d) => d.parts.subarray(p * 2 * d.first.length, (p + 1) * 2 * d.first.length));
    return range90(of.sort());
  });
  const shares = doubtSources.map((source, s): DoubtShare => {
    const exchanged = joined((d) => d.exchanged.subarray(s * d.first.length, (s + 1) * d.first.length));
    let square = 0;
    for (let k = 0; k < pairs; k++) square += (second[k] - exchanged[k]) ** 2;
    // A source that moves nothing has no part in it, whatever chance says.
    if (square === 0) return { source, share: 0, standardError: 0, total: 0 };
    return {
      source,
      ...firstOrderShare(first, second, exchanged, mean, variance),
      total: square / (2 * pairs * variance),
    };
  });
  shares.sort((p, q) => q.share - p.share);
  return {
    worst: { ...range90(sorted), mean, standardDeviation: Math.sqrt(variance) },
    parts,
    shares,
    sorted,
    samples: sorted.length,
    method:
      "Monte Carlo; contributions are first-order Sobol indices by exchanging one source between pairs of samples " +
      "(estimators of Saltelli et al. 2010 and Jansen 1999)",
    notes: notesFor(job, spread),
  };
}

const chunks = 10;

/**
 * A whole Monte Carlo as a task that hands out its chunks.
 * @throws RangeError, TypeError for a job, a point or a spread that cannot be computed
 */
export async function groundUncertainty(
  request: UncertaintyRequest,
  context: SplitContext<typeof drawUncertainty>,
): Promise<Uncertainty> {
  checkJob(request.job);
  checkSpread(request.spread);
  const parts = uncertaintyChunks(request, chunks);
  let done = 0;
  const draws = await context.each(drawUncertainty, parts, () => {
    done++;
    context.onProgress(done / parts.length, `${Math.round((done / parts.length) * request.samples)} cases`);
  });
  return combineUncertainty(request, draws);
}

function notesFor({ paints, recipe }: GroundJob, { coefficientBands, assumedBand }: JobSpread): string[] {
  if (coefficientBands === 0) return [];
  const without = [...paints, ...recipe.components].filter(
    ({ absorptionSigma, scatteringSigma, scaleSigma, joint }) =>
      !absorptionSigma && !scatteringSigma && !scaleSigma && !joint,
  );
  if (without.length === 0) return [];
  const names = without.map(({ name }) => name).join(", ");
  return [
    assumedBand > 0
      ? `K and S of ${names} carry no band of their own; ±${Math.round(100 * assumedBand)} % is assumed`
      : `K and S of ${names} carry no band of their own and are taken as exact`,
  ];
}

/**
 * First-order index of the source that `exchanged` has from `first` and everything else from `second`, with a
 * standard error. Two estimators: by what the exchange changes (Saltelli et al. 2010), exact where it changes
 * nothing, and by what it leaves unlike (Jansen 1999), exact where the source is all there is. The one with
 * the lesser error is taken.
 */
function firstOrderShare(
  first: Float64Array,
  second: Float64Array,
  exchanged: Float64Array,
  mean: number,
  variance: number,
): { share: number; standardError: number } {
  const byChange = (k: number): number => ((first[k] - mean) * (exchanged[k] - second[k])) / variance;
  const byUnlikeness = (k: number): number => 1 - (first[k] - exchanged[k]) ** 2 / (2 * variance);
  const [p, q] = [byChange, byUnlikeness].map((term) => meanAndError(first.length, term));
  return p.standardError <= q.standardError ? p : q;
}

function meanAndError(n: number, term: (k: number) => number): { share: number; standardError: number } {
  let sum = 0;
  let squares = 0;
  for (let k = 0; k < n; k++) {
    const value = term(k);
    sum += value;
    squares += value * value;
  }
  const share = sum / n;
  return { share, standardError: Math.sqrt(Math.max(0, squares / n - share * share) / n) };
}
