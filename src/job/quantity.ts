import { aboveZero, atLeastZero, fraction } from "../colour/checks.ts";

/** A way of spraying and the range of transfer efficiency met with it. */
interface SprayMethod {
  readonly name: string;
  /** shares of the coating solids that end up on the part */
  readonly transferEfficiency: readonly [from: number, to: number];
}

/**
 * Transfer efficiencies of real shops: high volume low pressure 50–60 %, conventional cup gun about 30 %, airless
 * 40–50 %, air-assisted airless 60–80 %. Rules that ask for "HVLP or equivalent" mean at least 65 %.
 * Source: Products Finishing, "A Primer on Transfer Efficiency and Tip Sizes"; South Coast AQMD, "Spray Equipment
 * Transfer Efficiency".
 */
export const sprayMethods: readonly SprayMethod[] = Object.freeze([
  { name: "high volume, low pressure", transferEfficiency: [0.5, 0.6] as const },
  { name: "conventional cup gun", transferEfficiency: [0.3, 0.3] as const },
  { name: "airless", transferEfficiency: [0.4, 0.5] as const },
  { name: "air-assisted airless", transferEfficiency: [0.6, 0.8] as const },
]);

/** A default to edit: the middle of the range for high volume, low pressure guns. */
export const usualTransferEfficiency = 0.55;

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

/**
 * Volume solids of a wet coating from weighings: what is not volatile, by volume.
 *
 * @param density of the wet coating, g/mL   @param massSolids share of its mass that stays, 0…1
 * @param volatileDensity of what evaporates, g/mL
 * @returns 1 − (1 − massSolids)·density/volatileDensity
 * @throws RangeError for a value out of range, and when the three numbers contradict each other (negative result)
 * Source: definition (compare ISO 3233, ASTM D2697); volumes taken as additive.
 */
export function volumeSolidsFromMass(density: number, massSolids: number, volatileDensity: number): number {
  aboveZero("density", density, "g/mL");
  fraction("mass solids", massSolids);
  aboveZero("density of the volatiles", volatileDensity, "g/mL");
  const volumeSolids = 1 - ((1 - massSolids) * density) / volatileDensity;
  if (volumeSolids < 0) {
    throw new RangeError(
      `volume solids = ${volumeSolids.toFixed(4)}: must be from 0 to 1; density, mass solids and density of the volatiles contradict each other`,
    );
  }
  return volumeSolids;
}
