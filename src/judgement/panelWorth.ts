import { deltaE2000 } from "../colour/difference.ts";
import { judgedDifferenceInto } from "./judgedDifference.ts";
import { cloudSize, type ReferenceCloud, usualPanelDoubt } from "./referenceCloud.ts";
import { mostDoubt, stepChances } from "./stepChances.ts";
import { isNeutral, stepCount } from "./stepWords.ts";

/** What one more panel of a colour is worth, before it is poured. */
export interface PanelWorth {
  /** Chance that the eye cannot tell it from the reference on any axis. */
  readonly matchChance: number;
  /** The same chance for a panel that is no different at all: the noise of the eye and of pouring leaves no more. */
  readonly twinChance: number;
  /** What its judgement is expected to tell of the reference, in bits. */
  readonly told: number;
  /** ΔE00 to the reference: the middle, and what is not exceeded in 90 %. */
  readonly difference: number;
  readonly within: number;
}

/** Points of equal weight that stand for a cloud where many panels are tried out. */
const fewPoints = 300;

/** Looks at colours of panels that might be poured, against one cloud. */
export class PanelJudge {
  readonly #points: Float64Array;
  readonly #differences: Float64Array;

  constructor(cloud: Pick<ReferenceCloud, "points" | "weights">) {
    this.#points = evenPoints(cloud, fewPoints);
    this.#differences = new Float64Array(fewPoints);
  }

  /**
   * @param Lab of the panel by the film model   @param doubt its own doubt, in eye's units
   *
   * What is told is the mutual information of words and cloud, summed over the axes as if their words were independent of
   * one another: the entropy of the words to be expected less the entropy that would be left if the reference were known.
   */
  worth(Lab: ArrayLike<number>, doubt = usualPanelDoubt): PanelWorth {
    const chances = stepChances(Math.min(doubt, mostDoubt));
    const neutral = isNeutral(Lab);
    const points = this.#points;
    const reference = new Float64Array(3);
    const seen = new Float64Array(3);
    const words = new Float64Array(3 * stepCount);
    let match = 0;
    let twin = 0;
    let left = 0;
    for (let k = 0; k < fewPoints; k++) {
      const at = k * cloudSize;
      for (let i = 0; i < 3; i++) reference[i] = points[at + i];
      this.#differences[k] = deltaE2000(reference, Lab);
      judgedDifferenceInto(reference, Lab, neutral, seen);
      let alike = 1;
      for (let axis = 0; axis < 3; axis++) {
        const difference = seen[axis] * Math.exp(points[at + 3 + axis]);
        for (let step = -4; step <= 4; step++) {
          const chance = chances.of(step, difference, points[at + 6]);
          words[axis * stepCount + step + 4] += chance / fewPoints;
          left -= (chance * Math.log2(chance)) / fewPoints;
          if (step === 0) alike *= chance;
        }
      }
      match += alike / fewPoints;
      twin += chances.of(0, 0, points[at + 6]) ** 3 / fewPoints;
    }
    let expected = 0;
    for (const chance of words) expected -= chance * Math.log2(chance);
    const sorted = this.#differences.slice().sort();
    return {
      matchChance: match,
      twinChance: twin,
      told: Math.max(0, expected - left),
      difference: sorted[fewPoints >> 1],
      within: sorted[Math.floor(0.9 * fewPoints)],
    };
  }
}

/** So many points of equal weight, drawn from a weighted cloud at even steps of the summed weight. */
export function evenPoints(
  { points, weights }: Pick<ReferenceCloud, "points" | "weights">,
  count: number,
): Float64Array {
  const even = new Float64Array(count * cloudSize);
  let sum = weights[0];
  let k = 0;
  for (let c = 0; c < count; c++) {
    for (; k < weights.length - 1 && sum < (c + 0.5) / count; k++) sum += weights[k + 1];
    for (let i = 0; i < cloudSize; i++) even[c * cloudSize + i] = points[k * cloudSize + i];
  }
  return even;
}

/** A pour is bet on from this share of a twin's chance on; below it the one that tells most is taken (our own). */
const betFrom = 0.4;

/** The pour to make: the best chance of a match or, where that is too small to bet on, the one that tells most. */
export function bestWorth<T extends PanelWorth>(
  pours: readonly T[],
): T & { readonly why: "bet" | "tells most" } {
  if (pours.length === 0) throw new RangeError("no pour is given to choose from");
  const likeliest = pours.reduce((best, pour) => (pour.matchChance > best.matchChance ? pour : best));
  if (likeliest.matchChance >= betFrom * likeliest.twinChance) return { ...likeliest, why: "bet" };
  const telling = pours.reduce((best, pour) => (pour.told > best.told ? pour : best));
  return { ...telling, why: "tells most" };
}
