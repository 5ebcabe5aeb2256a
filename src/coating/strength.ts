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
