import { sameLength } from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { XYZToLab } from "../colour/Lab.ts";
import { metamerismIndex } from "../colour/metamerism.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { reflectanceToXYZ } from "../colour/XYZ.ts";

/** A target and a recipe side by side in one light. */
export interface PairInLight {
  readonly illuminant: string;
  readonly observer: string;
  readonly white: Float64Array;
  readonly targetXYZ: Float64Array;
  readonly targetLab: Float64Array;
  readonly XYZ: Float64Array;
  readonly Lab: Float64Array;
  /** ΔE00 in this light. */
  readonly difference: number;
  /**
   * Special metamerism index (ΔE00) against the first light; 0 there, undefined for another observer or a sample that is
   * black in the first light.
   */
  readonly metamerism: number | undefined;
}

/**
 * Target and recipe in several lights, the main one first.
 *
 * @param target, sample seen reflectance on the grid of the weights
 * @throws TypeError when lengths differ
 * Source of the index: CIE 15:2004, section 9 (change of illuminant).
 */
export function underLights(
  target: ArrayLike<number>,
  sample: ArrayLike<number>,
  lights: readonly TristimulusWeights[],
): PairInLight[] {
  sameLength("target", target, "sample", sample);
  const pairs = lights.map(({ illuminant, observer, white }, l) => {
    const targetXYZ = reflectanceToXYZ(target, lights[l], new Float64Array(3));
    const XYZ = reflectanceToXYZ(sample, lights[l], new Float64Array(3));
    const targetLab = XYZToLab(targetXYZ, white, new Float64Array(3));
    const Lab = XYZToLab(XYZ, white, new Float64Array(3));
    return {
      illuminant,
      observer,
      white,
      targetXYZ,
      targetLab,
      XYZ,
      Lab,
      difference: deltaE2000(targetLab, Lab),
    };
  });
  const [main] = pairs;
  return pairs.map((pair, l) => {
    if (l === 0) return { ...pair, metamerism: 0 };
    if (pair.observer !== main.observer || main.XYZ.some((v) => !(v > 0))) {
      return { ...pair, metamerism: undefined };
    }
    const { index } = metamerismIndex(
      { standard: main.targetXYZ, sample: main.XYZ },
      { standard: pair.targetXYZ, sample: pair.XYZ },
      pair.white,
      deltaE2000,
    );
    return { ...pair, metamerism: index };
  });
}
