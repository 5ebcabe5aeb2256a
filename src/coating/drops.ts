/**
 * Drops in one mL of water from a dropper of the pharmacopoeia; a default to edit for each bottle, because the size
 * of a drop changes with tip, surface tension and viscosity.
 * Source: USP 32 <1101> Medicine dropper (drops of 45 to 55 mg water, that is 18.2 to 22.2 to the mL).
 */
export const usualDropsPerMl = 20;
