import { ofLength } from "./checks.ts";
import type { TristimulusWeights } from "./weights.ts";

/**
 * Tristimulus values of a reflectance: weighted sums, Y = 100 for the perfect diffuser.
 *
 * @param R reflectance on the grid of the weights, 0…1   @param out receives X, Y, Z; allocates nothing
 * @returns `out`
 * @throws TypeError when R and weights differ in length
 * Source: ASTM E308, calculation by tristimulus weighting factors.
 */
export function reflectanceToXYZ(
  R: ArrayLike<number>,
  weights: TristimulusWeights,
  out: Float64Array,
): Float64Array {
  const { x, y, z } = weights;
  const length = x.length;
  if (R.length !== length) ofLength("reflectance", R, length);
  let X = 0;
  let Y = 0;
  let Z = 0;
  for (let i = 0; i < length; i++) {
    const value = R[i];
    X += value * x[i];
    Y += value * y[i];
    Z += value * z[i];
  }
  out[0] = X;
  out[1] = Y;
  out[2] = Z;
  return out;
}

/** XYZ, Y = 100, of chromaticity x, y at luminance factor Y (100 unless told otherwise). */
export function chromaticityToXYZ(x: number, y: number, Y = 100): Float64Array {
  if (!(y > 0)) throw new RangeError(`y = ${y}: must be above 0`);
  return Float64Array.of((Y * x) / y, Y, (Y * (1 - x - y)) / y);
}
