import { factorInPlace } from "../fit/denseAlgebra.ts";
import { matern } from "./priors.ts";

// How far a reading may lie from the film theory, on a scale that follows the eye: f(R), the cube root that CIELAB is
// built on, straight below R = 216/24389 so that dark readings need no special case (ISO/CIE 11664-4). A step of 0.01 is
// about one unit of L*.

const breakpoint = 216 / 24389;
const steepest = 24389 / 27 / 116;

/** f(R). */
export function lightness(R: number): number {
  return R > breakpoint ? Math.cbrt(R) : steepest * R + 16 / 116;
}

/** The derivative of f(R). */
export function lightnessSlope(R: number): number {
  if (R <= breakpoint) return steepest;
  const root = Math.cbrt(R);
  return 1 / (3 * root * root);
}

/** R of f(R). */
export function fromLightness(f: number): number {
  return f > 6 / 29 ? f * f * f : (f - 16 / 116) / steepest;
}

/**
 * What a single reading may be off, 1σ. The misfit is what theory and hand leave over whatever is measured: two fluxes
 * instead of light in all directions, K and S that do not quite add, films that are not even. It belongs to each film
 * anew and so never averages away. 0.01 is one unit of L*, what hand-laid films repeat to (common
 * practice: about ΔE 1); its scale is learnt with everything else.
 */
export const readingError = {
  misfit: 0.01,
  /** correlation of the misfit along the wavelength, nm: the width of absorption bands */
  misfitLength: 60,
  /** noise of the instrument, in reflectance */
  noise: 0.002,
  /** gloss and stray light, the same at every wavelength, in reflectance: k1 between 0.036 and 0.044 */
  offset: 0.004,
  /** misfit as a distance in L*, a*, b* each */
  misfitLab: 1,
  /** independent pieces of news in a spectrum of paint: principal components that such spectra need (6 to 10) */
  independent: 9,
  /** correlation of the misfits of films of one mixture, laid thick and thin: half of it is the theory, half the hand */
  together: 0.5,
  /** degrees of freedom of Student's t: a film may be three times as wrong as usual without pulling the rest along */
  freedom: 5,
  /** 1σ of the power with which thickness grows with a laid amount, about 1 */
  powerSigma: 0.15,
  /** 1σ of the logarithm of the scale that is learnt */
  scaleSigma: 0.5,
} as const;

/** 1 / 1σ of f(R) at each wavelength of a reading. The reading then counts for its independent pieces of news alone. */
export function precisionOf(reflectance: Float64Array): Float64Array {
  const { misfit, noise, offset } = readingError;
  return reflectance.map((R) => 1 / Math.hypot(misfit, Math.hypot(noise, offset) * lightnessSlope(R)));
}

/**
 * Cholesky factor of the covariance of f(R) of a film that is yet to be read, row by row, lower triangle: misfit smooth
 * along the wavelength, offset and noise.
 *
 * @param reflectance as expected
 */
export function errorFactor(wavelengths: Float64Array, reflectance: Float64Array): Float64Array {
  const n = wavelengths.length;
  const { misfit, misfitLength, noise, offset } = readingError;
  const slopes = reflectance.map(lightnessSlope);
  const factor = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      factor[i * n + j] =
        misfit * misfit * matern(wavelengths[i] - wavelengths[j], misfitLength) +
        offset * offset * slopes[i] * slopes[j] +
        (i === j ? (noise * slopes[i]) ** 2 : 0);
    }
  }
  if (!factorInPlace(factor, n)) throw new RangeError("the errors of a reading have no covariance");
  return factor;
}
