import { expect, test } from "vitest";
import {
  litreFromUsGallon,
  micrometreFromMil,
  milFromMicrometre,
  millilitreFromUsFluidOunce,
  practicalSpreadRate,
  spreadRate,
  spreadRateUs,
  squareFootFromSquareMetre,
  squareFootMilPerUsGallon,
  squareFootPerGallonFromSquareMetrePerLitre,
  squareMetreFromSquareFoot,
  squareMetrePerLitreFromSquareFootPerGallon,
  usFluidOunceFromMillilitre,
  usGallonFromLitre,
} from "../../src/coating/spread.ts";

test.each([
  // source: published estimating guide (65 % at 125 µm gives 5.2 m²/L); 1 L = 1000 m²·µm; tolerance: printed digits
  [0.65, 125, 5.2],
  [0.28, 36, 7.7778],
  [0.45, 50, 9],
])("volume solids %d at %d µm: %d m²/L", (volumeSolids, dryThickness, expected) => {
  expect(Math.abs(spreadRate(volumeSolids, dryThickness) - expected)).toBeLessThan(5e-5);
});

test.each([
  // source: published spread-rate tables, which take 1604 ft²·mil per gallon (208.52, 280.7 and 281, 200.5 and 201).
  // Relative 1.1e-4: 1604 against the exact 1604.1667.
  [0.65, 5, 208.52],
  [0.35, 2, 280.7],
  [0.5, 4, 200.5],
])("volume solids %d at %d mil: %d ft²/gal", (volumeSolids, mil, expected) => {
  expect(Math.abs(spreadRateUs(volumeSolids, mil) / expected - 1)).toBeLessThan(1.1e-4);
});

test("US and metric spread rates are one thing", () => {
  // identity: exact definitions of inch and gallon
  expect(Math.abs(squareFootMilPerUsGallon - 1604.1667)).toBeLessThan(5e-5);
  const metric = spreadRate(0.35, micrometreFromMil(2));
  expect(squareFootPerGallonFromSquareMetrePerLitre(metric)).toBeCloseTo(spreadRateUs(0.35, 2), 10);
});

test("conversions", () => {
  // source: exact definitions (international inch, US gallon of 231 cubic inches, US fluid ounce of 1/128 gallon)
  expect(micrometreFromMil(1)).toBe(25.4);
  expect(litreFromUsGallon(1)).toBe(3.785411784);
  expect(Math.abs(squareFootPerGallonFromSquareMetrePerLitre(1) - 40.74583)).toBeLessThan(5e-6);
  expect(squareMetreFromSquareFoot(1)).toBe(0.09290304);
  expect(millilitreFromUsFluidOunce(1)).toBeCloseTo(29.5735295625, 10);
  // identity: there and back
  expect(milFromMicrometre(micrometreFromMil(3.7))).toBeCloseTo(3.7, 14);
  expect(usGallonFromLitre(litreFromUsGallon(3.7))).toBeCloseTo(3.7, 14);
  expect(usFluidOunceFromMillilitre(millilitreFromUsFluidOunce(3.7))).toBeCloseTo(3.7, 14);
  expect(squareFootFromSquareMetre(squareMetreFromSquareFoot(3.7))).toBeCloseTo(3.7, 14);
  expect(
    squareMetrePerLitreFromSquareFootPerGallon(squareFootPerGallonFromSquareMetrePerLitre(3.7)),
  ).toBeCloseTo(3.7, 14);
});

test("losses lower the spread rate", () => {
  expect(practicalSpreadRate(10, 0.65)).toBeCloseTo(6.5, 14); // source: definition of transfer efficiency
  expect(() => practicalSpreadRate(10, 1.2)).toThrow(/transfer efficiency/);
});

test("what cannot be is refused", () => {
  expect(() => spreadRate(1.2, 30)).toThrow(/volume solids/);
  expect(() => spreadRate(0.3, 0)).toThrow(/dry thickness.*µm/);
  expect(() => spreadRateUs(0.3, 0)).toThrow(/mil/);
});
