import { aboveZero, atLeastZero, fraction } from "../colour/checks.ts";

// Exact by definition: the international inch and the US liquid gallon (231 cubic inches).
export const micrometrePerMil = 25.4;
export const litrePerUsGallon = 3.785411784;
export const millilitrePerUsFluidOunce = (1000 * litrePerUsGallon) / 128;
export const squareMetrePerSquareFoot = 0.09290304;
/** ft²/gal for 1 m²/L: 40.74583… */
export const squareFootPerGallonOfSquareMetrePerLitre = litrePerUsGallon / squareMetrePerSquareFoot;
/** ft²·mil in one US gallon: 231 in³ / 0.001 in = 231 000 in² = 1604.1667 ft² (tables round it to 1604). */
export const squareFootMilPerUsGallon = 231000 / 144;

export const micrometreFromMil = (mil: number): number => mil * micrometrePerMil;
export const milFromMicrometre = (micrometre: number): number => micrometre / micrometrePerMil;
export const litreFromUsGallon = (gallon: number): number => gallon * litrePerUsGallon;
export const usGallonFromLitre = (litre: number): number => litre / litrePerUsGallon;
export const millilitreFromUsFluidOunce = (ounce: number): number => ounce * millilitrePerUsFluidOunce;
export const usFluidOunceFromMillilitre = (millilitre: number): number =>
  millilitre / millilitrePerUsFluidOunce;
export const squareMetreFromSquareFoot = (squareFoot: number): number =>
  squareFoot * squareMetrePerSquareFoot;
export const squareFootFromSquareMetre = (squareMetre: number): number =>
  squareMetre / squareMetrePerSquareFoot;
export const squareFootPerGallonFromSquareMetrePerLitre = (rate: number): number =>
  rate * squareFootPerGallonOfSquareMetrePerLitre;
export const squareMetrePerLitreFromSquareFootPerGallon = (rate: number): number =>
  rate / squareFootPerGallonOfSquareMetrePerLitre;

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

/**
 * Spread rate in US units.
 *
 * @param volumeSolids 0…1   @param dryThicknessMil mil, > 0
 * @returns ft²/gal
 * @throws RangeError for a value out of range
 */
export function spreadRateUs(volumeSolids: number, dryThicknessMil: number): number {
  fraction("volume solids", volumeSolids);
  aboveZero("dry thickness", dryThicknessMil, "mil");
  return (squareFootMilPerUsGallon * volumeSolids) / dryThicknessMil;
}

/**
 * Spread rate left when part of the paint misses the part.
 *
 * @param rate theoretical spread rate, any unit, ≥ 0   @param transferEfficiency 0…1
 * @throws RangeError for a value out of range
 */
export function practicalSpreadRate(rate: number, transferEfficiency: number): number {
  atLeastZero("spread rate", rate);
  fraction("transfer efficiency", transferEfficiency);
  return rate * transferEfficiency;
}
