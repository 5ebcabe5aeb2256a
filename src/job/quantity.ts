import { aboveZero, atLeastZero, fraction } from "../colour/checks.ts";

/** A job to be covered with one mix. */
interface QuantityNeeded {
  /** m² */
  area: number;
  /** dry thickness of all coats together, µm */
  dryThickness: number;
  /** of the unthinned mix, above 0, up to 1 */
  volumeSolids: number;
  /** share of the coating solids that ends up on the part, above 0, up to 1 */
  transferEfficiency: number;
  /** volume of thinner per volume of mix, ≥ 0 (0.1 = 10 %); none when left out */
  thinner?: number;
}

/** Volumes in mL. */
interface Quantity {
  /** dry film on the parts */
  dryVolume: number;
  /** unthinned mix on the parts */
  wetVolume: number;
  /** unthinned mix to make, losses included */
  mixVolume: number;
  thinnerVolume: number;
  /** mix and thinner together, ready to spray */
  readyVolume: number;
}

/**
 * How much to mix for an area.
 *
 * @returns volumes in mL (1 m² · 1 µm = 1 mL); volumes of mix and thinner taken as additive
 * @throws RangeError for a value out of range
 * Source: definitions of volume solids (ISO 3233) and transfer efficiency.
 */
export function quantityFor(needed: QuantityNeeded): Quantity {
  const { area, dryThickness, volumeSolids, transferEfficiency, thinner = 0 } = needed;
  atLeastZero("area", area, "m²");
  atLeastZero("dry thickness", dryThickness, "µm");
  aboveZero("volume solids", volumeSolids);
  fraction("volume solids", volumeSolids);
  aboveZero("transfer efficiency", transferEfficiency);
  fraction("transfer efficiency", transferEfficiency);
  atLeastZero("thinner per volume of mix", thinner);
  const dryVolume = area * dryThickness;
  const wetVolume = dryVolume / volumeSolids;
  const mixVolume = wetVolume / transferEfficiency;
  const thinnerVolume = mixVolume * thinner;
  return { dryVolume, wetVolume, mixVolume, thinnerVolume, readyVolume: mixVolume + thinnerVolume };
}
