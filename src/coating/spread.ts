import { aboveZero, fraction } from "../colour/checks.ts";

/**
 * Theoretical spread rate: the area that one litre covers at a dry thickness, with nothing lost.
 *
 * @param volumeSolids 0…1   @param dryThickness µm, > 0
 * @returns m²/L, 1000·volumeSolids/dryThickness
 * @throws RangeError for a value out of range
 * Source: 1 L = 1000 m²·µm; volume solids as in ISO 3233.
 */
export function spreadRate(volumeSolids: number, dryThickness: number): number {
  fraction("volume solids", volumeSolids);
  aboveZero("dry thickness", dryThickness, "µm");
  return (1000 * volumeSolids) / dryThickness;
}
