import { ofLength, triple, within } from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { inverse3, product3 } from "../fit/denseAlgebra.ts";
import { type Moments, momentsOf, weightedCloud } from "../fit/weightedCloud.ts";
import {
  anyEye,
  type EyeScale,
  judgementChance,
  type LearnedScale,
  scalePrior,
  scaleSize,
  wordsIn,
} from "./eyeScale.ts";
import { eyeUnitsAt, judgedDifferenceInto } from "./judgedDifference.ts";
import { mostDoubt, stepChances } from "./stepChances.ts";
import { isNeutral, type Judgement, stepCount } from "./stepWords.ts";

/** A panel held beside the reference. */
export interface JudgedPanel {
  /** CIELAB of the panel by the film model, in the light it was judged in. */
  readonly Lab: ArrayLike<number>;
  readonly judgement: Judgement;
  /** Standard deviation of the panel's own colour on each axis, in eye's units (K, S, thickness, doses). */
  readonly doubt?: number;
}

/** Doubt of a panel of which nothing else is known, in eye's units on each axis (common practice). */
export const usualPanelDoubt = 0.35;

/** The reference lies this far from the first panel, in eye's units, by a Student t that allows for much more. */
const firstScale = 4;
const firstFreedom = 4;

/** Dimensions of the cloud: L*, a*, b* of the reference, then the person's scale. */
export const cloudSize = 3 + scaleSize;
const cloudPoints = 2000;
const beforePoints = 500;

/** Share of people expected to press words at random, before any word is heard (our own). */
const randomPeople = 0.15;
/** From this chance on random words are named. */
const namedFrom = 0.5;

/** All that the judgements say of the reference. */
export interface ReferenceCloud {
  /** Points of seven numbers: L*, a*, b* of the reference, three biases, coarseness; weights sum to 1. */
  readonly points: Float64Array;
  readonly weights: Float64Array;
  /** Mean and covariance of the reference's CIELAB. */
  readonly Lab: Moments;
  /** Square of the radius, in standard deviations, of the ellipsoid that holds 90 %. */
  readonly radius90: number;
  /** ΔE00 from the mean within which the reference lies in 90 %. */
  readonly within: number;
  /** The person's scale after all this. */
  readonly eye: EyeScale;
  /** Chance that the words mean nothing, and whether it is large enough to say so. */
  readonly randomChance: number;
  readonly random: boolean;
}

interface CloudOptions {
  /** The person's scale, where it was learned from panels that were measured too. */
  readonly eye?: LearnedScale;
  readonly seed?: number;
}

/**
 * The reference as a cloud, from panels judged against it in one light.
 *
 * Each word is the chance of its step for the difference between panel and reference, as this person sees it; where the
 * person's scale is not known it is averaged over. Against it stands the suspicion that words were pressed at random, each
 * of the nine alike: its chance widens the region, and from one half on only where people begin is left.
 *
 * @param panels at least one, in the order in which they were judged; the first is where the reference is looked for
 * @throws RangeError without a panel; TypeError for a Lab that is no triple
 */
export function referenceCloud(
  panels: readonly JudgedPanel[],
  { eye = anyEye, seed = 1 }: CloudOptions = {},
): ReferenceCloud {
  if (panels.length === 0) throw new RangeError("no panel is given: a cloud needs at least one");
  for (const { Lab, judgement } of panels) {
    triple("Lab of a panel", Lab);
    ofLength("judgement", judgement, 3);
    for (const step of judgement) if (step !== null) within("step", step, -4, 4);
  }
  const first = firstGuess(panels[0].Lab, eye);
  const prior = scalePrior(eye);
  const judged = panels.map(({ Lab, judgement, doubt = usualPanelDoubt }) => ({
    Lab,
    judgement,
    neutral: isNeutral(Lab),
    chances: stepChances(Math.min(doubt, mostDoubt)),
  }));
  const reference = new Float64Array(3);
  const differences = new Float64Array(3);
  const factors = new Float64Array(3);
  const logDensity = (points: Float64Array, at: number): number => {
    const L = points[at];
    if (L < 0 || L > 100) return -Infinity;
    reference[0] = L;
    reference[1] = points[at + 1];
    reference[2] = points[at + 2];
    let log = first.logDensity(reference) + prior(points, at + 3);
    for (let i = 0; i < 3; i++) factors[i] = Math.exp(points[at + 3 + i]);
    for (const { Lab, judgement, neutral, chances } of judged) {
      judgedDifferenceInto(reference, Lab, neutral, differences);
      log += Math.log(judgementChance(chances, judgement, differences, factors, points[at + 6]));
    }
    return log;
  };
  const cloud = weightedCloud(logDensity, first.moments, cloudPoints, seed);
  const words = eye.words + wordsIn(panels.map(({ judgement }) => judgement));
  const logRandom = Math.log(randomPeople) - words * Math.log(stepCount);
  const logHonest = Math.log(1 - randomPeople) + eye.logChance + cloud.logTotal;
  const randomChance = 1 / (1 + Math.exp(logHonest - logRandom));
  const random = randomChance > namedFrom;
  // Random words tell nothing: the cloud of no words at all stands for them.
  const before = weightedCloud(first.logFirst(prior), first.moments, beforePoints, seed, 0);
  const chosen = random ? before : cloud;
  const moments = momentsOf(chosen.points, chosen.weights, cloudSize);
  const Lab = labMoments(moments);
  return {
    points: chosen.points,
    weights: chosen.weights,
    Lab,
    ...reach(Lab, cloud, before, randomChance),
    eye: scaleMoments(moments),
    randomChance,
    random,
  };
}

/** Whether the region that is said to hold 90 % holds a colour. */
export function holds({ Lab, radius90 }: ReferenceCloud, colour: ArrayLike<number>): boolean {
  return distances(Lab, Float64Array.from(colour as ArrayLike<number>), 3)[0] <= radius90;
}

/** ΔE00 between a colour and the reference that is not exceeded in the given share of the cloud. */
export function differenceWithin(
  { points, weights }: Pick<ReferenceCloud, "points" | "weights">,
  colour: ArrayLike<number>,
  share: number,
): number {
  const all = differencesFrom(colour, points);
  return weightedQuantile(all, weights, share);
}

function differencesFrom(colour: ArrayLike<number>, points: Float64Array): Float64Array {
  const reference = new Float64Array(3);
  return Float64Array.from({ length: points.length / cloudSize }, (_, k) => {
    for (let i = 0; i < 3; i++) reference[i] = points[k * cloudSize + i];
    return deltaE2000(reference, colour);
  });
}

type Points = Pick<ReferenceCloud, "points" | "weights">;

/** How far the region reaches, as one ellipsoid and as ΔE00, with the share of random words taken in. */
function reach(Lab: Moments, honest: Points, before: Points, randomChance: number) {
  const weights = Float64Array.of(
    ...honest.weights.map((w) => w * (1 - randomChance)),
    ...before.weights.map((w) => w * randomChance),
  );
  const squares = Float64Array.of(
    ...distances(Lab, honest.points, cloudSize),
    ...distances(Lab, before.points, cloudSize),
  );
  const apart = Float64Array.of(
    ...differencesFrom(Lab.mean, honest.points),
    ...differencesFrom(Lab.mean, before.points),
  );
  return {
    radius90: weightedQuantile(squares, weights, 0.9),
    within: weightedQuantile(apart, weights, 0.9),
  };
}

/** Squared distances from the mean in standard deviations, of points that begin with L*, a*, b*. */
function distances({ mean, covariance }: Moments, points: Float64Array, stride: number): Float64Array {
  const inverted = inverse3(covariance);
  return Float64Array.from({ length: points.length / stride }, (_, k) => {
    let square = 0;
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) {
        square +=
          inverted[3 * i + j] * (points[k * stride + i] - mean[i]) * (points[k * stride + j] - mean[j]);
      }
    }
    return square;
  });
}

function weightedQuantile(values: Float64Array, weights: Float64Array, share: number): number {
  const order = Uint32Array.from(values.keys()).sort((i, j) => values[i] - values[j]);
  let sum = 0;
  for (const i of order) {
    sum += weights[i];
    if (sum >= share) return values[i];
  }
  return values[order[order.length - 1]];
}

function labMoments({ mean, covariance }: Moments): Moments {
  return {
    mean: mean.slice(0, 3),
    covariance: Float64Array.from(
      { length: 9 },
      (_, k) => covariance[Math.floor(k / 3) * cloudSize + (k % 3)],
    ),
  };
}

function scaleMoments({ mean, covariance }: Moments): Moments {
  return {
    mean: mean.slice(3),
    covariance: Float64Array.from(
      { length: scaleSize * scaleSize },
      (_, k) => covariance[(3 + Math.floor(k / scaleSize)) * cloudSize + 3 + (k % scaleSize)],
    ),
  };
}

/** Where the reference may lie before a word is said: around the first panel, in units of the eye. */
function firstGuess(panel: ArrayLike<number>, eye: EyeScale) {
  const units = eyeUnitsAt(panel);
  const back = inverse3(units);
  const turned = back.map((_, k) => back[3 * (k % 3) + Math.floor(k / 3)]);
  const spread = product3(back, turned);
  const covariance = new Float64Array(cloudSize * cloudSize);
  const mean = new Float64Array(cloudSize);
  for (let i = 0; i < 3; i++) {
    mean[i] = panel[i];
    for (let j = 0; j < 3; j++) covariance[i * cloudSize + j] = firstScale ** 2 * spread[3 * i + j];
  }
  for (let i = 0; i < scaleSize; i++) {
    mean[3 + i] = eye.mean[i];
    for (let j = 0; j < scaleSize; j++) {
      covariance[(3 + i) * cloudSize + 3 + j] = eye.covariance[i * scaleSize + j];
    }
  }
  // Γ(7/2)/Γ(2) = 15√π/8: the height of the t of four degrees of freedom in three dimensions.
  const height =
    Math.log((15 * Math.sqrt(Math.PI)) / 8) -
    1.5 * Math.log(firstFreedom * Math.PI) -
    3 * Math.log(firstScale);
  const toLab = Math.log(Math.abs(determinantOf(units)));
  const neutral = isNeutral(panel);
  const differences = new Float64Array(3);
  const logDensity = (reference: Float64Array): number => {
    judgedDifferenceInto(reference, panel, neutral, differences);
    const square = (differences[0] ** 2 + differences[1] ** 2 + differences[2] ** 2) / firstScale ** 2;
    return height + toLab - ((firstFreedom + 3) / 2) * Math.log1p(square / firstFreedom);
  };
  const reference = new Float64Array(3);
  const logFirst =
    (prior: (points: Float64Array, at: number) => number) => (points: Float64Array, at: number) => {
      if (points[at] < 0 || points[at] > 100) return -Infinity;
      for (let i = 0; i < 3; i++) reference[i] = points[at + i];
      return logDensity(reference) + prior(points, at + 3);
    };
  return { moments: { mean, covariance }, logDensity, logFirst };
}

function determinantOf([a, b, c, d, e, f, g, h, i]: Float64Array): number {
  return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
}
