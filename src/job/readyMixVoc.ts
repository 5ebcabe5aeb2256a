import { fraction } from "../colour/checks.ts";
import { type VolatileContent, vocLessWater, vocOfMaterial } from "./voc.ts";

/** Density of water at room temperature, g/mL. */
const waterDensity = 0.998;

/** What is known of a ready mix. */
interface ReadyMix {
  /** mL of unthinned mix and of thinner */
  mixVolume: number;
  thinnerVolume: number;
  volumeSolids: number;
  /** share of water in the mass that evaporates from the mix, and from the thinner, 0…1 */
  waterShare: number;
  thinnerWaterShare: number;
  /** g/mL of what evaporates from the mix beside water, and of the thinner's solvent */
  solventDensity: number;
}

/**
 * VOC of a ready mix from its volume solids and the share of water in what evaporates, g/L: of the material as it is,
 * and less water as most rules count. Information only: the product's data sheet and the local rule decide.
 *
 * @throws RangeError for a value out of range
 * Source: 40 CFR 59.104(a)(1); volumes taken as additive.
 */
export function readyMixVoc(mix: ReadyMix): { material: number; lessWater: number | undefined } {
  fraction("volume solids", mix.volumeSolids);
  fraction("water share", mix.waterShare);
  fraction("water share of the thinner", mix.thinnerWaterShare);
  const own = volatiles(mix.mixVolume * (1 - mix.volumeSolids), mix.waterShare, mix.solventDensity);
  const added = volatiles(mix.thinnerVolume, mix.thinnerWaterShare, mix.solventDensity);
  const waterMass = own.water + added.water;
  const content: VolatileContent = {
    volume: (mix.mixVolume + mix.thinnerVolume) / 1000,
    volatileMass: waterMass + own.solvent + added.solvent,
    waterMass,
    waterVolume: waterMass / waterDensity / 1000,
  };
  // Nothing but water: no coating is left to count by.
  const rest = content.volume - content.waterVolume;
  return {
    material: vocOfMaterial(content),
    lessWater: rest > 1e-9 * content.volume ? vocLessWater(content) : undefined,
  };
}

/** Masses (g) of water and solvent that fill a volume (mL) when water has a share of the mass. */
function volatiles(volume: number, waterShare: number, solventDensity: number) {
  const mass = volume / (waterShare / waterDensity + (1 - waterShare) / solventDensity);
  return { water: mass * waterShare, solvent: mass * (1 - waterShare) };
}
