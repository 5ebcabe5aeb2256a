import { deltaE2000TermsInto } from "../colour/difference.ts";
import { isNeutral } from "./stepWords.ts";

const terms = new Float64Array(4);

/**
 * What the eye sees between the reference and a panel, on the three axes that are judged: ΔL′/S_L, ΔC′/S_C, ΔH′/S_H; beside
 * a near-neutral panel, which has no hue to speak of, ΔL′/S_L, Δa′/S_C, Δb′/S_C. Panel minus reference; allocates nothing.
 *
 * @param neutral whether the panel is near neutral   @param out receives the three numbers
 * Source: ISO/CIE 11664-6; the neutral axes are the same differences turned onto a′ and b′.
 */
export function judgedDifferenceInto(
  reference: ArrayLike<number>,
  panel: ArrayLike<number>,
  neutral: boolean,
  out: Float64Array,
): Float64Array {
  deltaE2000TermsInto(reference, panel, terms);
  out[0] = terms[0];
  if (!neutral) {
    out[1] = terms[1];
    out[2] = terms[2];
    return out;
  }
  const C = (Math.hypot(reference[1], reference[2]) + Math.hypot(panel[1], panel[2])) / 2;
  const C7 = C ** 7;
  const stretch = 1.5 - 0.5 * Math.sqrt(C7 / (C7 + 6103515625)); // 25⁷, as in a′ of ΔE00
  const SC = 1 + 0.045 * C;
  out[1] = (stretch * (panel[1] - reference[1])) / SC;
  out[2] = (panel[2] - reference[2]) / SC;
  return out;
}

/** The judged difference in a fresh array, on the axes that belong to the panel. */
export const judgedDifference = (reference: ArrayLike<number>, panel: ArrayLike<number>): Float64Array =>
  judgedDifferenceInto(reference, panel, isNeutral(panel), new Float64Array(3));

/**
 * Slopes of the judged difference by the reference's L*, a*, b* where the two are alike (3 × 3, row by row, taken by central
 * differences): how long the eye's units are there.
 */
export function eyeUnitsAt(panel: ArrayLike<number>): Float64Array {
  const slopes = new Float64Array(9);
  const neutral = isNeutral(panel);
  const step = 0.01;
  const plus = new Float64Array(3);
  const minus = new Float64Array(3);
  for (let j = 0; j < 3; j++) {
    const there = Float64Array.from(panel as ArrayLike<number>);
    there[j] += step;
    judgedDifferenceInto(there, panel, neutral, plus);
    there[j] -= 2 * step;
    judgedDifferenceInto(there, panel, neutral, minus);
    for (let i = 0; i < 3; i++) slopes[3 * i + j] = (plus[i] - minus[i]) / (2 * step);
  }
  return slopes;
}
