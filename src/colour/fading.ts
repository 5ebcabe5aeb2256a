import { atLeastZero } from "./checks.ts";
import { LChDifferenceOf } from "./difference.ts";
import { LabToLCh } from "./Lab.ts";

/** Steps of the grey scales in words of the trade; 5 is "no change". */
export type GreyScaleGrade = "5" | "4-5" | "4" | "3-4" | "3" | "2-3" | "2" | "1-2" | "1";

/** ΔE_F below which a grade holds: midpoints between the steps of the grey scale. Source: ISO 105-A05 (from memory). */
const gradeLimits: readonly (readonly [GreyScaleGrade, number])[] = [
  ["5", 0.4],
  ["4-5", 1.25],
  ["4", 2.1],
  ["3-4", 2.95],
  ["3", 4.1],
  ["2-3", 5.8],
  ["2", 8.2],
  ["1-2", 11.6],
];

/**
 * Change of colour ΔE_F, the instrumental stand-in for the grey scale for change in colour.
 *
 * Chroma and hue differences count less the stronger the colour; in blues part of a chroma change counts as hue
 * (the term D, negligible for reds).
 *
 * @param original CIELAB before exposure   @param faded CIELAB after
 * Source: ISO 105-A05:1996 (from memory; the sign of ΔH beside D taken as usual, positive for a rising hue angle).
 */
export function fadingDifference(original: ArrayLike<number>, faded: ArrayLike<number>): number {
  const { lightness, chroma, hue } = LChDifferenceOf(original, faded);
  const before = LabToLCh(original, new Float64Array(3));
  const after = LabToLCh(faded, new Float64Array(3));
  const meanChroma = (before[1] + after[1]) / 2;
  const apart = Math.abs(meanHue(before[2], after[2]) - 280);
  const x = ((apart <= 180 ? apart : 360 - apart) / 30) ** 2;
  const D = (chroma * meanChroma * Math.exp(-x)) / 100;
  const CF = (chroma - D) / (1 + ((20 * meanChroma) / 1000) ** 2);
  const HF = (hue - D) / (1 + ((10 * meanChroma) / 1000) ** 2);
  return Math.sqrt(lightness * lightness + CF * CF + HF * HF);
}

function meanHue(h1: number, h2: number): number {
  const mean = (h1 + h2) / 2;
  if (Math.abs(h1 - h2) <= 180) return mean;
  return h1 + h2 < 360 ? mean + 180 : mean - 180;
}

/** Grey-scale rating for change in colour, 5 (none) down to 1 and below. Source: ISO 105-A05:1996 (from memory). */
export function fadingRating(deltaEF: number): number {
  atLeastZero("ΔE_F", deltaEF);
  return deltaEF <= 3.4 ? 5 - deltaEF / 1.7 : 5 - Math.log2(deltaEF / 0.85);
}

/** Grey-scale grade in half steps for change in colour. Source: ISO 105-A05:1996 (from memory). */
export function fadingGrade(deltaEF: number): GreyScaleGrade {
  atLeastZero("ΔE_F", deltaEF);
  for (const [grade, limit] of gradeLimits) if (deltaEF < limit) return grade;
  return "1";
}
