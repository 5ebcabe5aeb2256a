import { atLeastZero } from "./checks.ts";
import { deltaE2000, deltaE2000TermsInto } from "./difference.ts";

/** How a sample differs from its reference in the words of the bench; an empty string where there is nothing to say. */
export interface TradeWords {
  /** lighter, darker */
  readonly lightness: string;
  /** stronger, duller */
  readonly chroma: string;
  /** yellower, bluer, redder, greener */
  readonly hue: string;
  /** all of it: "darker, duller, slightly bluer" or "no visible difference" */
  readonly text: string;
  /** the same with each grade said once: "darker, duller; slightly bluer" */
  readonly short: string;
}

/** Differences up to this ΔE00 count as invisible unless told otherwise (common practice). */
const invisible = 0.5;
/** "slightly" below a part of ΔE00 that is just noticeable side by side, "much" from another colour on (common practice). */
const slightlyBelow = 1;
const muchFrom = 5;
/** Below this chroma a colour has no hue to speak of: differences are named by the way they go (common practice). */
export const nearNeutral = 6;

const alike = "no visible difference";

/**
 * Words towards a rising and a falling hue angle, for references from the hue angle `from` up to the next entry.
 * Reds, over the whole range from bluish to orange, are read as yellower or bluer (common practice); the other sectors
 * take their neighbours on the hue circle.
 */
const sectors: readonly { from: number; rising: string; falling: string }[] = [
  { from: -30, rising: "yellower", falling: "bluer" }, // reds
  { from: 60, rising: "greener", falling: "redder" }, // yellows
  { from: 120, rising: "bluer", falling: "yellower" }, // greens
  { from: 210, rising: "redder", falling: "greener" }, // blues, violets
];

/**
 * A colour difference in trade words.
 *
 * Each of the three parts of ΔE00 (lightness, chroma, hue) is named when it reaches half the tolerance; the largest
 * part is always named. Parts below 1 are "slightly", from 5 on "much".
 *
 * @param reference, sample CIELAB   @param tolerance ΔE00 up to which nothing is said, 0.5 unless told otherwise
 * @throws RangeError for a negative tolerance
 * Source: grades common practice; parts of the difference ISO/CIE 11664-6.
 */
export function tradeWords(
  reference: ArrayLike<number>,
  sample: ArrayLike<number>,
  tolerance: number = invisible,
): TradeWords {
  atLeastZero("tolerance", tolerance);
  if (deltaE2000(reference, sample) <= tolerance) {
    return { lightness: "", chroma: "", hue: "", text: alike, short: alike };
  }
  const [L, C, H] = deltaE2000TermsInto(reference, sample, new Float64Array(4));
  const referenceChroma = Math.hypot(reference[1], reference[2]);
  const neutral = referenceChroma < nearNeutral;
  // Chroma and hue of a near-neutral change as one: the way on the a*b* plane.
  const parts = neutral ? [L, 0, Math.hypot(C, H)] : [L, C, H];
  const largest = Math.max(...parts.map(Math.abs));
  const worded = (part: number, word: string): string => {
    const size = Math.abs(part);
    if (size < tolerance / 2 && size < largest) return "";
    return size < slightlyBelow ? `slightly ${word}` : size < muchFrom ? word : `much ${word}`;
  };
  const lightness = worded(parts[0], L > 0 ? "lighter" : "darker");
  const chroma = neutral ? "" : worded(parts[1], C > 0 ? "stronger" : "duller");
  const hue = worded(parts[2], neutral ? direction(reference, sample) : hueWord(reference, H));
  const said = [lightness, chroma, hue].filter((word) => word !== "");
  return { lightness, chroma, hue, text: said.join(", "), short: byGrade(said) };
}

/** Words of one grade together, the grade once before them, the strongest grade first. */
function byGrade(said: readonly string[]): string {
  const groups = ["much ", "", "slightly "].map((grade) => {
    const words = said
      .filter((word) => (grade ? word.startsWith(grade) : !word.includes(" ")))
      .map((word) => word.slice(grade.length));
    return words.length > 0 ? grade + words.join(", ") : "";
  });
  return groups.filter((group) => group !== "").join("; ");
}

function hueWord(reference: ArrayLike<number>, H: number): string {
  const words = hueWords(reference);
  return H > 0 ? words.rising : words.falling;
}

/** The words for a rising and a falling hue angle beside a colour: "yellower" and "bluer" for a red. */
export function hueWords(reference: ArrayLike<number>): { rising: string; falling: string } {
  let h = (Math.atan2(reference[2], reference[1]) * 180) / Math.PI;
  if (h < sectors[0].from) h += 360;
  return sectors.findLast((candidate) => h >= candidate.from) ?? sectors[0];
}

/** The way from one near-neutral colour to another, by the larger of Δa* and Δb*. */
function direction(reference: ArrayLike<number>, sample: ArrayLike<number>): string {
  const a = sample[1] - reference[1];
  const b = sample[2] - reference[2];
  if (Math.abs(a) > Math.abs(b)) return a > 0 ? "redder" : "greener";
  return b > 0 ? "yellower" : "bluer";
}
