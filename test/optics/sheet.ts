import { aboveZero, fraction, within } from "../../src/colour/checks.ts";

/**
 * SX of a film from its reflectance over black and its reflectivity.
 *
 * @param overBlack R0 over a ground of reflectance 0, 0 ≤ R0 < R∞   @param Rinf reflectivity, 0 < R∞ ≤ 1
 * @throws RangeError for a value out of range
 * Source: Kubelka 1948: SX = ln[R∞(1 − R0R∞)/(R∞ − R0)]/(1/R∞ − R∞), rewritten with ln(1 + …) so that a film
 * without absorption (R∞ = 1) needs no case of its own but the limit.
 */
export function scatteringPowerFromReflectances(overBlack: number, Rinf: number): number {
  aboveZero("reflectivity", Rinf);
  fraction("reflectivity", Rinf);
  fraction("reflectance over black", overBlack);
  if (overBlack >= Rinf) {
    throw new RangeError(`reflectance over black = ${overBlack}: must be below the reflectivity ${Rinf}`);
  }
  const lost = 1 - Rinf * Rinf;
  const gain = overBlack / (Rinf - overBlack);
  return lost < 1e-12 ? Rinf * gain : (Rinf * Math.log1p(gain * lost)) / lost;
}

/**
 * Coefficients of a sheet from a single sheet over black and a pad that hides.
 *
 * @param grammage g/m², > 0
 * @param overBlack reflectance of one sheet over black, 0 ≤ R0 < R∞   @param Rinf reflectivity (pad), 0 < R∞ ≤ 1
 * @throws RangeError for a value out of range
 * Source: ISO 9416 (TAPPI T 1214), from memory:
 * s = (1000/w)·ln[R∞(1 − R0R∞)/(R∞ − R0)]/(1/R∞ − R∞), k = s(1 − R∞)²/2R∞.
 */
export function sheetCoefficients(grammage: number, overBlack: number, Rinf: number) {
  aboveZero("grammage", grammage, "g/m²");
  const scattering = (1000 / grammage) * scatteringPowerFromReflectances(overBlack, Rinf);
  return { scattering, absorption: (scattering * (1 - Rinf) ** 2) / (2 * Rinf) };
}

/**
 * Opacity (paper backing): reflectance of one sheet over black ÷ reflectivity of the pad.
 *
 * @returns 0…1
 * Source: ISO 2471, TAPPI T 519 (definition as in the scope of TAPPI T 425).
 */
export function opacity(overBlack: number, Rinf: number): number {
  aboveZero("reflectivity", Rinf);
  fraction("reflectivity", Rinf);
  within("reflectance over black", overBlack, 0, Rinf);
  return overBlack / Rinf;
}
