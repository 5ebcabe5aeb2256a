import type { TristimulusWeights } from "./weights.ts";
import { reflectanceToXYZ } from "./XYZ.ts";

// Exact forms of 0.008856 and 903.3: the two branches meet with equal value and slope.
const breakpoint = 216 / 24389;
const slope = 24389 / 27;

/**
 * CIELAB of tristimulus values against a white.
 *
 * @param XYZ, white on one scale (Y = 100 for the perfect diffuser)
 * @param out receives L*, a*, b*; may be the array of XYZ itself; allocates nothing
 * @returns `out`
 * Source: ISO/CIE 11664-4 (CIE 15:2004, 8.2.1), with 216/24389 and 24389/27.
 */
export function XYZToLab(XYZ: ArrayLike<number>, white: ArrayLike<number>, out: Float64Array): Float64Array {
  const x = XYZ[0] / white[0];
  const y = XYZ[1] / white[1];
  const z = XYZ[2] / white[2];
  const fx = x > breakpoint ? Math.cbrt(x) : (slope * x + 16) / 116;
  const fy = y > breakpoint ? Math.cbrt(y) : (slope * y + 16) / 116;
  const fz = z > breakpoint ? Math.cbrt(z) : (slope * z + 16) / 116;
  out[0] = 116 * fy - 16;
  out[1] = 500 * (fx - fy);
  out[2] = 200 * (fy - fz);
  return out;
}

/**
 * Tristimulus values of a CIELAB colour: the inverse of XYZToLab.
 *
 * @param out receives X, Y, Z on the scale of the white; may be the array of Lab itself
 * @returns `out`
 * Source: ISO/CIE 11664-4, reverse transformation.
 */
export function LabToXYZ(Lab: ArrayLike<number>, white: ArrayLike<number>, out: Float64Array): Float64Array {
  const fy = (Lab[0] + 16) / 116;
  const fx = fy + Lab[1] / 500;
  const fz = fy - Lab[2] / 200;
  out[0] = white[0] * stimulus(fx);
  out[1] = white[1] * stimulus(fy);
  out[2] = white[2] * stimulus(fz);
  return out;
}

function stimulus(f: number): number {
  // 6/29 is the cube root of the breakpoint.
  return f > 6 / 29 ? f * f * f : (116 * f - 16) / slope;
}

/** L*, chroma, hue angle (0…360°; 0 for a neutral) of a CIELAB colour. Source: ISO/CIE 11664-4. @returns `out` */
export function LabToLCh(Lab: ArrayLike<number>, out: Float64Array): Float64Array {
  const a = Lab[1];
  const b = Lab[2];
  const degrees = (Math.atan2(b, a) * 180) / Math.PI;
  out[0] = Lab[0];
  out[1] = Math.hypot(a, b);
  out[2] = a === 0 && b === 0 ? 0 : degrees < 0 ? degrees + 360 : degrees;
  return out;
}

/**
 * CIELAB of a reflectance under the light and for the observer of the weights; allocates nothing.
 *
 * @param R reflectance on the grid of the weights, 0…1   @param out receives L*, a*, b*
 * @returns `out`
 * @throws TypeError when R and weights differ in length
 */
export function reflectanceToLab(
  R: ArrayLike<number>,
  weights: TristimulusWeights,
  out: Float64Array,
): Float64Array {
  return XYZToLab(reflectanceToXYZ(R, weights, out), weights.white, out);
}
