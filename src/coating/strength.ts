import { sameLength } from "../colour/checks.ts";
import { ratioFromReflectivity } from "../optics/film.ts";

/**
 * Relative tinting strength of a pigment: K/S of its reduction with white ÷ K/S of the reference's, both with the same
 * white and dose, at the wavelength of greatest absorption.
 *
 * @param reference @param sample internal reflectivities there, above 0, below 1
 * @returns 1 for equal strength, above 1 when the sample is the stronger
 * @throws RangeError for a value out of range
 * Source: ISO 787-24 (ratio of the absorption values); K/S by Kubelka, Munk 1931.
 */
export function relativeTintingStrength(reference: number, sample: number): number {
  const below = ratioFromReflectivity(reference);
  if (below === 0)
    throw new RangeError("reflectivity of the reference = 1: must be below 1, it shows no tint at all");
  return ratioFromReflectivity(sample) / below;
}

/** Relative tinting strength and where in the spectrum it was read. */
interface TintingStrength {
  strength: number;
  /** index of the wavelength of greatest absorption of the reference */
  index: number;
}

/**
 * `relativeTintingStrength` of two spectra, read where the reference absorbs most.
 *
 * @param reference @param sample internal reflectivities, one value per wavelength
 * @throws RangeError for a value out of range, TypeError when lengths differ or are 0
 */
export function tintingStrengthOfSpectra(
  reference: ArrayLike<number>,
  sample: ArrayLike<number>,
): TintingStrength {
  sameLength("sample", sample, "reference", reference);
  if (reference.length === 0) throw new TypeError("reference has no values");
  let index = 0;
  for (let i = 1; i < reference.length; i++) if (reference[i] < reference[index]) index = i;
  return { strength: relativeTintingStrength(reference[index], sample[index]), index };
}
