import type { Difference } from "./difference.ts";
import { sameGrid } from "./grid.ts";
import { XYZToLab } from "./Lab.ts";
import type { TristimulusWeights } from "./weights.ts";
import { reflectanceToXYZ } from "./XYZ.ts";

/** A pair seen under one light: XYZ of standard and sample, Y = 100 scale. */
interface PairUnderLight {
  readonly standard: ArrayLike<number>;
  readonly sample: ArrayLike<number>;
}

/** Result of a metamerism index: the number and the colours it was taken between. */
interface MetamerismIndex {
  readonly index: number;
  /** XYZ of the sample under the test light after the correction */
  readonly corrected: Float64Array;
  readonly standardLab: Float64Array;
  readonly sampleLab: Float64Array;
}

/**
 * Special metamerism index, change of illuminant: how far a pair that matches under one light parts under another.
 *
 * A pair that does not quite match under the reference light is corrected first: each tristimulus value of the sample
 * under the test light is multiplied by standard / sample under the reference light.
 *
 * @param reference the pair under the reference light   @param test the pair under the test light
 * @param testWhite XYZ of the white under the test light   @param difference the formula of the index, stated with it
 * @throws RangeError when a value of the sample under the reference light is not above 0
 * Source: CIE 15:2004, section 9 (change of illuminant); multiplicative correction from memory.
 */
export function metamerismIndex(
  reference: PairUnderLight,
  test: PairUnderLight,
  testWhite: ArrayLike<number>,
  difference: Difference,
): MetamerismIndex {
  const corrected = new Float64Array(3);
  for (let i = 0; i < 3; i++) {
    if (!(reference.sample[i] > 0)) {
      throw new RangeError(
        `sample ${"XYZ"[i]} = ${reference.sample[i]} under the reference light: must be above 0`,
      );
    }
    corrected[i] = (test.sample[i] * reference.standard[i]) / reference.sample[i];
  }
  const standardLab = XYZToLab(test.standard, testWhite, new Float64Array(3));
  const sampleLab = XYZToLab(corrected, testWhite, new Float64Array(3));
  return { index: difference(standardLab, sampleLab), corrected, standardLab, sampleLab };
}

/**
 * The same index from reflectances.
 * @param referenceWeights, testWeights weights of one observer under the reference and the test light
 * @throws TypeError for weights of different observers or grids, or reflectances of another length
 */
export function metamerismIndexOfReflectance(
  standard: ArrayLike<number>,
  sample: ArrayLike<number>,
  referenceWeights: TristimulusWeights,
  testWeights: TristimulusWeights,
  difference: Difference,
): MetamerismIndex {
  if (
    referenceWeights.observer !== testWeights.observer ||
    !sameGrid(referenceWeights.grid, testWeights.grid)
  ) {
    throw new TypeError("both lights of a metamerism index must be seen by one observer on one grid");
  }
  const under = (weights: TristimulusWeights): PairUnderLight => ({
    standard: reflectanceToXYZ(standard, weights, new Float64Array(3)),
    sample: reflectanceToXYZ(sample, weights, new Float64Array(3)),
  });
  return metamerismIndex(under(referenceWeights), under(testWeights), testWeights.white, difference);
}
