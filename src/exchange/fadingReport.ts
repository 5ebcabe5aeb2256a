import { triple } from "../colour/checks.ts";
import { deltaE2000, deltaEab } from "../colour/difference.ts";
import { fadingDifference, fadingGrade, fadingRating, type GreyScaleGrade } from "../colour/fading.ts";
import { type TradeWords, tradeWords } from "../colour/tradeWords.ts";
import { readingStatistics } from "./readings.ts";

/** How far a part has faded from its reference. */
interface FadingReport {
  /** CIELAB difference and CIEDE2000. */
  readonly deltaEab: number;
  readonly deltaE2000: number;
  /** ISO 105-A05: ΔE_F, rating (5 = none) and grade in half steps. */
  readonly deltaEF: number;
  readonly rating: number;
  readonly grade: GreyScaleGrade;
  /** How the faded part differs from the reference. */
  readonly words: TradeWords;
  /** Whether the reference itself may have faded, and what was compared to tell. */
  readonly reference: "looks unfaded" | "may have faded" | "not checked";
  readonly cautions: readonly string[];
}

/** Readings of the reference, CIELAB: where it was covered and where it saw the light. */
interface ReferenceSpots {
  readonly hidden: readonly ArrayLike<number>[];
  readonly exposed: readonly ArrayLike<number>[];
}

/** ΔE00 between spots below which a reference counts as the same all over (common practice). */
const sameAllOver = 0.5;

/**
 * The faded part against the unfaded reference, with a caution when the reference itself may have faded.
 *
 * @param reference CIELAB of the unfaded reference   @param faded CIELAB of the faded part, same light and observer
 * @param spots readings of the reference at hidden and exposed places, if there are any
 * @throws TypeError, RangeError for anything but three finite numbers
 * Source: ISO 105-A05 for rating and grade; comparison of hidden and exposed spots: common practice.
 */
export function fadingReport(
  reference: ArrayLike<number>,
  faded: ArrayLike<number>,
  spots: ReferenceSpots = { hidden: [], exposed: [] },
): FadingReport {
  triple("reference", reference);
  triple("faded part", faded);
  const deltaEF = fadingDifference(reference, faded);
  const { verdict, cautions } = referenceVerdict(spots);
  return {
    deltaEab: deltaEab(reference, faded),
    deltaE2000: deltaE2000(reference, faded),
    deltaEF,
    rating: fadingRating(deltaEF),
    grade: fadingGrade(deltaEF),
    words: tradeWords(reference, faded),
    reference: verdict,
    cautions,
  };
}

function referenceVerdict({ hidden, exposed }: ReferenceSpots): {
  verdict: FadingReport["reference"];
  cautions: string[];
} {
  if (hidden.length === 0 || exposed.length === 0) {
    return {
      verdict: "not checked",
      cautions: [
        "the reference was not checked for fading: read it where it was covered (under a flap, inside a seam) and " +
          "where it saw the light",
      ],
    };
  }
  const covered = readingStatistics(hidden, [], deltaE2000);
  const lit = readingStatistics(exposed, [], deltaE2000);
  const apart = deltaE2000(covered.Lab, lit.Lab);
  const doubt = Math.hypot(covered.meanDifference, lit.meanDifference);
  const limit = Math.max(sameAllOver, 2 * doubt);
  if (apart <= limit) return { verdict: "looks unfaded", cautions: [] };
  return {
    verdict: "may have faded",
    cautions: [
      `the reference itself may have faded: where it saw the light it is ${tradeWords(covered.Lab, lit.Lab).text} ` +
        `(ΔE00 ${apart.toFixed(1)}) than where it was covered; use the covered reading as the target`,
    ],
  };
}
