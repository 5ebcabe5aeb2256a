/** Colour differences between CIELAB colours. Every function is given the reference (standard) first. */

/** Names of the differences that a user may choose from. */
export type DifferenceFormula = "ΔE00" | "ΔE*ab" | "ΔE94" | "CMC(2:1)" | "CMC(1:1)";

/** A colour difference: reference and sample in, number out. */
export type Difference = (reference: ArrayLike<number>, sample: ArrayLike<number>) => number;

/** Parametric factor and constants of ΔE94. */
interface Weighting94 {
  readonly kL: number;
  readonly K1: number;
  readonly K2: number;
}

/** Source: CIE 116-1995 (graphic arts: the reference conditions); ISO 105-J / textile practice (kL = 2). */
const weightings94: Record<"graphic" | "textile", Weighting94> = {
  graphic: { kL: 1, K1: 0.045, K2: 0.015 },
  textile: { kL: 2, K1: 0.048, K2: 0.014 },
};

const degree = Math.PI / 180;

/** ΔE*ab: distance in CIELAB. Source: ISO/CIE 11664-4. */
export function deltaEab(reference: ArrayLike<number>, sample: ArrayLike<number>): number {
  const L = sample[0] - reference[0];
  const a = sample[1] - reference[1];
  const b = sample[2] - reference[2];
  return Math.sqrt(L * L + a * a + b * b);
}

/** Signed differences ΔL*, ΔC*, ΔH* (sample minus reference; ΔH* > 0 for a rising hue angle). */
interface LChDifference {
  readonly lightness: number;
  readonly chroma: number;
  readonly hue: number;
}

/** ΔL*, ΔC*, ΔH* of a pair; ΔL*² + ΔC*² + ΔH*² = ΔE*ab². Source: ISO/CIE 11664-4; sign of ΔH*: Sève 1996. */
export function LChDifferenceOf(reference: ArrayLike<number>, sample: ArrayLike<number>): LChDifference {
  const C1 = Math.hypot(reference[1], reference[2]);
  const C2 = Math.hypot(sample[1], sample[2]);
  return {
    lightness: sample[0] - reference[0],
    chroma: C2 - C1,
    hue: signedHueDifference(reference[1], reference[2], C1, sample[1], sample[2], C2),
  };
}

// ΔH* = 2 √(C1·C2) sin(Δh/2) without angles. Of its two forms each is used where it loses no digits: the one with the
// cross product for near hues, the one with the scalar product for hues more than 90° apart.
function signedHueDifference(a1: number, b1: number, C1: number, a2: number, b2: number, C2: number): number {
  const cross = a1 * b2 - a2 * b1;
  const dot = a1 * a2 + b1 * b2;
  if (dot <= 0) return Math.sqrt(2 * (C1 * C2 - dot)) * (cross < 0 ? -1 : 1);
  return (cross * Math.SQRT2) / Math.sqrt(C1 * C2 + dot);
}

/**
 * ΔE94 with the chroma of the reference in the weights (therefore not symmetric).
 * @param weighting "graphic" (1; 0.045; 0.015), "textile" (2; 0.048; 0.014) or own kL, K1, K2
 * Source: CIE 116-1995.
 */
export function deltaE94(
  reference: ArrayLike<number>,
  sample: ArrayLike<number>,
  weighting: Weighting94 | "graphic" | "textile",
): number {
  const { kL, K1, K2 } = typeof weighting === "string" ? weightings94[weighting] : weighting;
  const C1 = Math.hypot(reference[1], reference[2]);
  const C2 = Math.hypot(sample[1], sample[2]);
  const L = (sample[0] - reference[0]) / kL;
  const C = (C2 - C1) / (1 + K1 * C1);
  const H = signedHueDifference(reference[1], reference[2], C1, sample[1], sample[2], C2) / (1 + K2 * C1);
  return Math.sqrt(L * L + C * C + H * H);
}

/**
 * CMC(l:c) with the weights of the reference (therefore not symmetric).
 * @param l weight of lightness, 2 for acceptability, 1 for perceptibility   @param c weight of chroma, usually 1
 * Source: ISO 105-J03; Clarke, McDonald, Rigg 1984.
 */
export function deltaECMC(
  reference: ArrayLike<number>,
  sample: ArrayLike<number>,
  l: number,
  c: number,
): number {
  const L1 = reference[0];
  const C1 = Math.hypot(reference[1], reference[2]);
  const C2 = Math.hypot(sample[1], sample[2]);
  let h = Math.atan2(reference[2], reference[1]) / degree;
  if (h < 0) h += 360;
  const T =
    h >= 164 && h <= 345
      ? 0.56 + Math.abs(0.2 * Math.cos((h + 168) * degree))
      : 0.36 + Math.abs(0.4 * Math.cos((h + 35) * degree));
  const C4 = C1 * C1 * C1 * C1;
  const F = Math.sqrt(C4 / (C4 + 1900));
  const SL = L1 < 16 ? 0.511 : (0.040975 * L1) / (1 + 0.01765 * L1);
  const SC = (0.0638 * C1) / (1 + 0.0131 * C1) + 0.638;
  const SH = SC * (F * T + 1 - F);
  const L = (sample[0] - L1) / (l * SL);
  const C = (C2 - C1) / (c * SC);
  const H = signedHueDifference(reference[1], reference[2], C1, sample[1], sample[2], C2) / SH;
  return Math.sqrt(L * L + C * C + H * H);
}

const cos30 = Math.cos(30 * degree);
const sin30 = Math.sin(30 * degree);
const cos6 = Math.cos(6 * degree);
const sin6 = Math.sin(6 * degree);
const cos63 = Math.cos(63 * degree);
const sin63 = Math.sin(63 * degree);

const terms = new Float64Array(4);

/**
 * CIEDE2000 (ΔE00), symmetric; allocates nothing.
 * @param kL, kC, kH parametric factors, 1 under reference conditions
 * Source: ISO/CIE 11664-6; Sharma, Wu, Dalal 2005 for the mean hue and the sign of the hue difference.
 */
export function deltaE2000(
  reference: ArrayLike<number>,
  sample: ArrayLike<number>,
  kL = 1,
  kC = 1,
  kH = 1,
): number {
  deltaE2000TermsInto(reference, sample, terms);
  const L = terms[0] / kL;
  const C = terms[1] / kC;
  const H = terms[2] / kH;
  const square = L * L + C * C + H * H + terms[3] * C * H;
  return square > 0 ? Math.sqrt(square) : 0;
}

/**
 * The parts of ΔE00: ΔL′/SL, ΔC′/SC, ΔH′/SH (signed, sample minus reference) and the rotation RT, so that
 * ΔE00² = L² + C² + H² + RT·C·H. Allocates nothing.
 * @param out receives the four numbers
 * Source: ISO/CIE 11664-6; Sharma, Wu, Dalal 2005, equations 2–21.
 */
export function deltaE2000TermsInto(
  reference: ArrayLike<number>,
  sample: ArrayLike<number>,
  out: Float64Array,
): Float64Array {
  const L1 = reference[0];
  const L2 = sample[0];
  const b1 = reference[2];
  const b2 = sample[2];
  // 25⁷ = 6103515625. The powers are multiplied out: this is the inner loop of every search.
  let C = (Math.sqrt(reference[1] * reference[1] + b1 * b1) + Math.sqrt(sample[1] * sample[1] + b2 * b2)) / 2;
  let C3 = C * C * C;
  let C7 = C3 * C3 * C;
  const stretch = 1.5 - 0.5 * Math.sqrt(C7 / (C7 + 6103515625));
  const a1 = reference[1] * stretch;
  const a2 = sample[1] * stretch;
  const C1 = Math.sqrt(a1 * a1 + b1 * b1);
  const C2 = Math.sqrt(a2 * a2 + b2 * b2);
  const product = C1 * C2;
  let difference = 0;
  let h = 0;
  let h1 = C1 === 0 ? 0 : Math.atan2(b1, a1);
  let h2 = C2 === 0 ? 0 : Math.atan2(b2, a2);
  if (h1 < 0) h1 += 2 * Math.PI;
  if (h2 < 0) h2 += 2 * Math.PI;
  if (product === 0) {
    h = h1 + h2; // a neutral has no hue: the other one's counts
  } else {
    difference = h2 - h1;
    h = (h1 + h2) / 2;
    if (difference > Math.PI) {
      difference -= 2 * Math.PI;
      h += h < Math.PI ? Math.PI : -Math.PI;
    } else if (difference < -Math.PI) {
      difference += 2 * Math.PI;
      h += h < Math.PI ? Math.PI : -Math.PI;
    }
  }
  // Cosines and sines of 2h, 3h, 4h from those of h.
  const c1 = Math.cos(h);
  const s1 = Math.sin(h);
  const c2 = c1 * c1 - s1 * s1;
  const s2 = 2 * s1 * c1;
  const c3 = c2 * c1 - s2 * s1;
  const s3 = s2 * c1 + c2 * s1;
  const c4 = c2 * c2 - s2 * s2;
  const s4 = 2 * s2 * c2;
  const T =
    1 -
    0.17 * (c1 * cos30 + s1 * sin30) +
    0.24 * c2 +
    0.32 * (c3 * cos6 - s3 * sin6) -
    0.2 * (c4 * cos63 + s4 * sin63);
  C = (C1 + C2) / 2;
  C3 = C * C * C;
  C7 = C3 * C3 * C;
  const L50 = (L1 + L2) / 2 - 50;
  const turn = (h / degree - 275) / 25;
  const angle = 60 * degree * Math.exp(-turn * turn); // twice Δθ
  out[0] = (L2 - L1) / (1 + (0.015 * L50 * L50) / Math.sqrt(20 + L50 * L50));
  out[1] = (C2 - C1) / (1 + 0.045 * C);
  out[2] = (2 * Math.sqrt(product) * Math.sin(difference / 2)) / (1 + 0.015 * C * T);
  out[3] = -2 * Math.sqrt(C7 / (C7 + 6103515625)) * Math.sin(angle);
  return out;
}

const differences: Record<DifferenceFormula, Difference> = {
  ΔE00: (reference, sample) => deltaE2000(reference, sample),
  "ΔE*ab": deltaEab,
  ΔE94: (reference, sample) => deltaE94(reference, sample, "graphic"),
  "CMC(2:1)": (reference, sample) => deltaECMC(reference, sample, 2, 1),
  "CMC(1:1)": (reference, sample) => deltaECMC(reference, sample, 1, 1),
};

/** The formulas a user may choose from, in the order in which they are offered. */
export const differenceFormulas = Object.freeze(Object.keys(differences)) as readonly DifferenceFormula[];

/** The function of a named formula (ΔE94 with the graphic arts constants). @throws RangeError for an unknown name */
export function differenceOf(formula: DifferenceFormula): Difference {
  if (!Object.hasOwn(differences, formula)) {
    throw new RangeError(
      `difference formula "${formula}" is unknown; known: ${differenceFormulas.join(", ")}`,
    );
  }
  return differences[formula];
}
