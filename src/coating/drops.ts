import { aboveZero, atLeastZero, each, wholeNumber } from "../colour/checks.ts";

/**
 * Drops in one mL of water from a dropper of the pharmacopoeia; a default to edit for each bottle, because the size
 * of a drop changes with tip, surface tension and viscosity.
 * Source: USP 32 <1101> Medicine dropper (drops of 45 to 55 mg water, that is 18.2 to 22.2 to the mL).
 */
export const usualDropsPerMl = 20;

/**
 * Drops to the mL of a bottle from the mass of one drop.
 *
 * @param dropMassMilligram > 0   @param density g/mL of what is dropped; 1 (water) when left out
 * @throws RangeError for a value not above 0
 */
export function dropsPerMl(dropMassMilligram: number, density = 1): number {
  aboveZero("mass of one drop", dropMassMilligram, "mg");
  aboveZero("density", density, "g/mL");
  return (1000 * density) / dropMassMilligram;
}

/**
 * Number of drops nearest to a volume.
 *
 * @param volume mL, ≥ 0   @param perMl drops to the mL, > 0
 * @throws RangeError for a value out of range
 */
export function dropsFor(volume: number, perMl = usualDropsPerMl): number {
  atLeastZero("volume", volume, "mL");
  aboveZero("drops per mL", perMl);
  return Math.round(volume * perMl);
}

/**
 * Shares a whole number of drops among the components of a recipe by the method of the largest remainder: each gets
 * the whole part of its due, the drops left over go to the largest remainders (the earlier component when equal).
 *
 * @param amounts of the components in any one unit, ≥ 0, not all 0
 * @param totalDrops whole number, ≥ 0
 * @returns drops of each component; they sum to `totalDrops`, and each is less than one drop off its due
 * @throws RangeError for a value out of range
 * Source: Hamilton's method of apportionment.
 */
export function roundToDrops(amounts: ArrayLike<number>, totalDrops: number): Int32Array {
  each("amount", amounts, atLeastZero);
  wholeNumber("total drops", totalDrops);
  let sum = 0;
  for (let j = 0; j < amounts.length; j++) sum += amounts[j];
  if (sum === 0) throw new RangeError("amounts are all 0: at least one must be above 0");
  const drops = new Int32Array(amounts.length);
  // Remainders in units of 1e-9 drop, so that rounding error neither makes 6.999999999 a 6 nor breaks a tie.
  const remainders = new Float64Array(amounts.length);
  let left = totalDrops;
  for (let j = 0; j < amounts.length; j++) {
    const due = (amounts[j] / sum) * totalDrops;
    drops[j] = Math.floor(due + 1e-9 * Math.max(1, due));
    remainders[j] = Math.round((due - drops[j]) * 1e9);
    left -= drops[j];
  }
  const order = Array.from(remainders.keys()).sort((a, b) => remainders[b] - remainders[a] || a - b);
  for (let n = 0; n < left; n++) drops[order[n]]++;
  return drops;
}
