import { aboveZero, atLeastZero } from "../colour/checks.ts";

// Volatile organic compounds (VOC) of a coating as the rules count them. What a rule allows, and how it counts, the
// local rule decides.

/** What is known of a volume of coating, ready to spray; g and L. */
export interface VolatileContent {
  /** L of coating */
  volume: number;
  /** g of everything that evaporates */
  volatileMass: number;
  /** g of water and L of water */
  waterMass: number;
  waterVolume: number;
  /** g and L of compounds that the rule exempts; none when left out */
  exemptMass?: number;
  exemptVolume?: number;
}

/**
 * VOC content, g/L of coating less water and exempt compounds (the figure that most rules limit).
 *
 * @throws RangeError for a value out of range, or when water and exempt compounds are more than the whole
 * Source: 40 CFR 59.104(a)(1): (Wv − Ww − Wec)/(V − Vw − Vec).
 */
export function vocLessWater(content: VolatileContent): number {
  const { organicMass, rest } = organicOf(content);
  if (rest <= 0)
    throw new RangeError("volume of water and exempt compounds must be less than that of the coating");
  return organicMass / rest;
}

/** VOC per litre of coating as it is, g/L. @throws as `vocLessWater` */
export function vocOfMaterial(content: VolatileContent): number {
  return organicOf(content).organicMass / content.volume;
}

function organicOf(content: VolatileContent): { organicMass: number; rest: number } {
  const { volume, volatileMass, waterMass, waterVolume, exemptMass = 0, exemptVolume = 0 } = content;
  aboveZero("volume", volume, "L");
  atLeastZero("mass of volatiles", volatileMass, "g");
  atLeastZero("mass of water", waterMass, "g");
  atLeastZero("volume of water", waterVolume, "L");
  atLeastZero("mass of exempt compounds", exemptMass, "g");
  atLeastZero("volume of exempt compounds", exemptVolume, "L");
  const organicMass = volatileMass - waterMass - exemptMass;
  if (organicMass < 0) {
    throw new RangeError("mass of water and exempt compounds must not be more than that of the volatiles");
  }
  return { organicMass, rest: volume - waterVolume - exemptVolume };
}
