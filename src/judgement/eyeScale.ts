import { factorInPlace, inverseOfFactored } from "../fit/denseAlgebra.ts";
import { normalShare } from "../fit/normalShare.ts";
import { type Moments, momentsOf, weightedCloud } from "../fit/weightedCloud.ts";
import { judgedDifference } from "./judgedDifference.ts";
import { mostDoubt, type StepChances, stepChances } from "./stepChances.ts";
import type { Judgement } from "./stepWords.ts";

/**
 * How one person's words relate to differences: log of the factor by which the person sees lightness, chroma and hue larger
 * or smaller than they are, and coarseness, the log of how many times wider the words scatter than an ordinary eye's.
 * A distribution, as nobody's scale is known for certain.
 */
export type EyeScale = Moments;

/** Numbers in a scale: three biases and the coarseness. */
export const scaleSize = 4;

/** What a person's biases share, and what each axis has of its own (from memory: people differ by about a quarter). */
const sharedBias = 0.2;
const ownBias = 0.15;
/** Spread of coarseness among people (from memory). */
const coarsenessSpread = 0.4;

/** A person of whom nothing is known. */
export const anyEye: LearnedScale = {
  words: 0,
  logChance: 0,
  mean: new Float64Array(scaleSize),
  covariance: Float64Array.from({ length: scaleSize * scaleSize }, (_, k) => {
    const i = Math.floor(k / scaleSize);
    const j = k % scaleSize;
    if (i === 3 || j === 3) return i === j ? coarsenessSpread ** 2 : 0;
    return sharedBias ** 2 + (i === j ? ownBias ** 2 : 0);
  }),
};

/** A panel that was judged against a reference whose colour was measured too. */
export interface MeasuredPair {
  readonly reference: ArrayLike<number>;
  readonly panel: ArrayLike<number>;
  readonly judgement: Judgement;
  /** Standard deviation of their difference on each axis, in eye's units; that of two readings when left out. */
  readonly doubt?: number;
}

/** Doubt of a measured difference, in eye's units (common practice: repeatability and the spread of a panel). */
const measuredDoubt = 0.15;

/** Log likelihood of a person's scale from measured pairs; the scale lies in `points` from `at`. */
function pairsLikelihood(pairs: readonly MeasuredPair[]): (points: Float64Array, at: number) => number {
  const judged = pairs.map(({ reference, panel, judgement, doubt = measuredDoubt }) => ({
    differences: judgedDifference(reference, panel),
    judgement,
    chances: stepChances(Math.min(doubt, mostDoubt)),
  }));
  const factors = new Float64Array(3);
  return (points, at) => {
    for (let i = 0; i < 3; i++) factors[i] = Math.exp(points[at + i]);
    let log = 0;
    for (const { differences, judgement, chances } of judged) {
      log += Math.log(judgementChance(chances, judgement, differences, factors, points[at + 3]));
    }
    return log;
  };
}

/** Chance of a judgement for the differences on its axes, each seen larger by its factor, at a coarseness. */
export function judgementChance(
  chances: StepChances,
  judgement: Judgement,
  differences: Float64Array,
  factors: Float64Array,
  coarseness: number,
): number {
  let chance = 1;
  for (let axis = 0; axis < 3; axis++) {
    const step = judgement[axis];
    if (step !== null) chance *= chances.of(step, differences[axis] * factors[axis], coarseness);
  }
  return chance;
}

/** Log density of a scale among people like these: normal, so that a learned scale can be handed on as two moments. */
export function scalePrior({ mean, covariance }: EyeScale): (points: Float64Array, at: number) => number {
  const factor = covariance.slice();
  if (!factorInPlace(factor, scaleSize))
    throw new RangeError("covariance of a scale is not positive definite");
  const inverse = inverseOfFactored(factor, scaleSize);
  let constant = (-scaleSize / 2) * Math.log(2 * Math.PI);
  for (let i = 0; i < scaleSize; i++) constant -= Math.log(factor[i * scaleSize + i]);
  return (points, at) => {
    let square = 0;
    for (let i = 0; i < scaleSize; i++) {
      for (let j = 0; j < scaleSize; j++) {
        square += inverse[i * scaleSize + j] * (points[at + i] - mean[i]) * (points[at + j] - mean[j]);
      }
    }
    return constant - square / 2;
  };
}

const learningPoints = 2000;

/** A person's scale with what it was learned from. */
export interface LearnedScale extends EyeScale {
  /** Words it was learned from, and the log of their chance by such a person. */
  readonly words: number;
  readonly logChance: number;
}

/** What judged and measured panels say of a person's scale. */
export function learnScale(pairs: readonly MeasuredPair[], seed = 1): LearnedScale {
  if (pairs.length === 0) return anyEye;
  const prior = scalePrior(anyEye);
  const likelihood = pairsLikelihood(pairs);
  const { points, weights, logTotal } = weightedCloud(
    (points, at) => prior(points, at) + likelihood(points, at),
    anyEye,
    learningPoints,
    seed,
  );
  return {
    ...momentsOf(points, weights, scaleSize),
    words: wordsIn(pairs.map(({ judgement }) => judgement)),
    logChance: logTotal,
  };
}

/** Words said in judgements; what could not be judged does not count. */
export const wordsIn = (judgements: readonly Judgement[]): number =>
  judgements.reduce((sum, steps) => sum + steps.filter((step) => step !== null).length, 0);

/** How sharp an eye is, in figures for people. */
export interface Sharpness {
  /** How many times wider the words scatter than an ordinary eye's: middle and 90 % range. */
  readonly coarseness: { readonly middle: number; readonly low: number; readonly high: number };
  /** Factors by which lightness, chroma and hue are seen too large, with their 90 % ranges. */
  readonly seenTooLarge: readonly { readonly middle: number; readonly low: number; readonly high: number }[];
  /** Chance that this eye is coarser than most: more than √2 times an ordinary one. */
  readonly coarserThanMost: number;
  readonly verdict: "sharper than most" | "ordinary" | "coarser than most" | "not known yet";
}

/** From here on an eye counts as coarser (or sharper) than most: half way, in logs, to twice (or half) an ordinary one. */
const notOrdinary = Math.LN2 / 2;
/** A 90 % range of ± this in logs is too wide to speak of an eye. */
const tooWide = 0.6;
const z90 = 1.645;

/** The scale of a person in words and figures. */
export function sharpnessOf({ mean, covariance }: EyeScale): Sharpness {
  const range = (i: number) => {
    const half = z90 * Math.sqrt(covariance[i * scaleSize + i]);
    return { middle: Math.exp(mean[i]), low: Math.exp(mean[i] - half), high: Math.exp(mean[i] + half) };
  };
  const spread = Math.sqrt(covariance[15]);
  const coarserThanMost = normalShare((mean[3] - notOrdinary) / spread);
  const sharperThanMost = normalShare((-mean[3] - notOrdinary) / spread);
  const verdict =
    coarserThanMost > 0.5
      ? "coarser than most"
      : sharperThanMost > 0.5
        ? "sharper than most"
        : z90 * spread > tooWide
          ? "not known yet"
          : "ordinary";
  return {
    coarseness: range(3),
    seenTooLarge: [range(0), range(1), range(2)],
    coarserThanMost,
    verdict,
  };
}
