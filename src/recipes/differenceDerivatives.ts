/**
 * The square of ΔE00 as a smooth function of the sample's CIELAB, with gradient and Hessian, for optimisers.
 * Source of the formula: ISO/CIE 11664-6; Sharma, Wu, Dalal 2005 (mean hue, sign of the hue difference).
 *
 * Derivatives are carried through the formula as second-order Taylor coefficients ("jets") in a* and b*: value, ∂a, ∂b,
 * ∂aa, ∂ab, ∂bb. Lightness stands apart from them in ΔE00.
 */

const degree = Math.PI / 180;
const turn = 2 * Math.PI;
const twentyFive7 = 6103515625; // 25⁷

const cos30 = Math.cos(30 * degree);
const sin30 = Math.sin(30 * degree);
const cos6 = Math.cos(6 * degree);
const sin6 = Math.sin(6 * degree);
const cos63 = Math.cos(63 * degree);
const sin63 = Math.sin(63 * degree);

// A reference of less chroma than this has no hue; a sample's chroma is kept above it where derivatives divide by it.
const neutral = 1e-7;

// Slots of the jets in the work array, six numbers each.
const J = new Float64Array(6 * 24);
let slot = -6;
const next = () => {
  slot += 6;
  return slot;
};
const chroma = next();
const stretch = next();
const x1 = next();
const x2 = next();
const C1 = next();
const C2 = next();
const h1 = next();
const h2 = next();
const halfTurn = next();
const sine = next();
const product = next();
const root = next();
const H = next();
const C = next();
const meanC = next();
const meanH = next();
const T = next();
const overSC = next();
const meanCT = next();
const overSH = next();
const xPart = next();
const yPart = next();
const rotation = next();
const scratch = next();

/** J[o] = f(J[x]) from f, f′, f″ at the value of x. */
function unary(o: number, x: number, f: number, f1: number, f2: number): void {
  const a = J[x + 1];
  const b = J[x + 2];
  const aa = f1 * J[x + 3] + f2 * a * a;
  const ab = f1 * J[x + 4] + f2 * a * b;
  const bb = f1 * J[x + 5] + f2 * b * b;
  J[o] = f;
  J[o + 1] = f1 * a;
  J[o + 2] = f1 * b;
  J[o + 3] = aa;
  J[o + 4] = ab;
  J[o + 5] = bb;
}

/** J[o] = J[x]·J[y]; o may be x or y. */
function multiply(o: number, x: number, y: number): void {
  const u = J[x];
  const ua = J[x + 1];
  const ub = J[x + 2];
  const v = J[y];
  const va = J[y + 1];
  const vb = J[y + 2];
  const aa = u * J[y + 3] + 2 * ua * va + v * J[x + 3];
  const ab = u * J[y + 4] + ua * vb + ub * va + v * J[x + 4];
  const bb = u * J[y + 5] + 2 * ub * vb + v * J[x + 5];
  J[o] = u * v;
  J[o + 1] = u * va + v * ua;
  J[o + 2] = u * vb + v * ub;
  J[o + 3] = aa;
  J[o + 4] = ab;
  J[o + 5] = bb;
}

/** J[o] = p·J[x] + q·J[y] + c. */
function combine(o: number, p: number, x: number, q: number, y: number, c: number): void {
  for (let k = 0; k < 6; k++) J[o + k] = p * J[x + k] + q * J[y + k];
  J[o] += c;
}

/** J[o] = f(J[x], b*) from the derivatives of f by its two arguments. */
function withB(
  o: number,
  x: number,
  f: number,
  fx: number,
  fy: number,
  fxx: number,
  fxy: number,
  fyy: number,
): void {
  const a = J[x + 1];
  const b = J[x + 2];
  J[o] = f;
  J[o + 1] = fx * a;
  J[o + 2] = fx * b + fy;
  J[o + 3] = fx * J[x + 3] + fxx * a * a;
  J[o + 4] = fx * J[x + 4] + fxx * a * b + fxy * a;
  J[o + 5] = fx * J[x + 5] + fxx * b * b + 2 * fxy * b + fyy;
}

/** √(c⁷/(c⁷ + 25⁷)). */
function chromaFactor(c: number): number {
  const c3 = c * c * c;
  const c7 = c3 * c3 * c;
  return Math.sqrt(c7 / (c7 + twentyFive7));
}

/** J[o] = p + q·√(c⁷/(c⁷ + 25⁷)) with c = J[x]. */
function chromaFactorJet(o: number, x: number, p: number, q: number): void {
  const c = J[x];
  const r = Math.sqrt(c);
  const c3 = c * c * c;
  const c7 = c3 * c3 * c;
  const below = 1 / Math.sqrt(c7 + twentyFive7);
  const cube = below * below * below;
  const f1 = 3.5 * twentyFive7 * c * c * r * cube;
  const f2 = 3.5 * twentyFive7 * c * r * (2.5 * twentyFive7 - 8 * c7) * cube * below * below;
  unary(o, x, p + q * c3 * r * below, q * f1, q * f2);
}

/** J[o] = −sin 2Δθ with Δθ = 30° exp(−((h − 275°)/25°)²) and h = J[x] in 0…2π. */
function rotationJet(o: number, x: number): void {
  const perRadian = 1 / (25 * degree);
  const t = (J[x] - 275 * degree) * perRadian;
  const angle = 60 * degree * Math.exp(-t * t);
  const angle1 = -2 * t * perRadian * angle;
  const angle2 = (4 * t * t - 2) * perRadian * perRadian * angle;
  const s = Math.sin(angle);
  const c = Math.cos(angle);
  unary(o, x, -s, -c * angle1, s * angle1 * angle1 - c * angle2);
}

/** J[o] = T(h), the hue weight, with h = J[x]. */
function hueWeightJet(o: number, x: number): void {
  const c1 = Math.cos(J[x]);
  const s1 = Math.sin(J[x]);
  const c2 = c1 * c1 - s1 * s1;
  const s2 = 2 * s1 * c1;
  const c3 = c2 * c1 - s2 * s1;
  const s3 = s2 * c1 + c2 * s1;
  const c4 = c2 * c2 - s2 * s2;
  const s4 = 2 * s2 * c2;
  const one = 0.17 * (c1 * cos30 + s1 * sin30);
  const three = 0.32 * (c3 * cos6 - s3 * sin6);
  const four = 0.2 * (c4 * cos63 + s4 * sin63);
  const f = 1 - one + 0.24 * c2 + three - four;
  const f1 =
    0.17 * (s1 * cos30 - c1 * sin30) -
    0.48 * s2 -
    0.96 * (s3 * cos6 + c3 * sin6) +
    0.8 * (s4 * cos63 - c4 * sin63);
  unary(o, x, f, f1, one - 0.96 * c2 - 9 * three + 16 * four);
}

/** J[o] = 1/(1 + w·J[x]). */
function overWeight(o: number, x: number, w: number): void {
  const f = 1 / (1 + w * J[x]);
  unary(o, x, f, -w * f * f, 2 * w * w * f * f * f);
}

/** ΔE00² to one reference colour. */
export class SquaredDifference {
  readonly reference: Float64Array;
  readonly #L: number;
  readonly #a: number;
  readonly #b: number;
  readonly #chroma: number;

  /** @param reference CIELAB */
  constructor(reference: ArrayLike<number>) {
    this.reference = Float64Array.from(reference);
    [this.#L, this.#a, this.#b] = this.reference;
    this.#chroma = Math.hypot(this.#a, this.#b);
  }

  /** ΔE00² of a sample; allocates nothing. */
  value(L: number, a: number, b: number): number {
    const dL = L - this.#L;
    const middle = (L + this.#L) / 2 - 50;
    const square = middle * middle;
    const l = dL / (1 + (0.015 * square) / Math.sqrt(20 + square));
    const g = 1.5 - 0.5 * chromaFactor((this.#chroma + Math.sqrt(a * a + b * b)) / 2);
    const a1 = g * this.#a;
    const b1 = this.#b;
    const a2 = g * a;
    const c1 = Math.sqrt(a1 * a1 + b1 * b1);
    const c2 = Math.sqrt(a2 * a2 + b * b);
    const mean = (c1 + c2) / 2;
    const x = (c2 - c1) / (1 + 0.045 * mean);
    if (c1 < neutral || c2 < neutral) return l * l + x * x;
    const angle1 = Math.atan2(b1, a1);
    let half = (Math.atan2(b, a2) - angle1) / 2;
    if (half > Math.PI / 2) half -= Math.PI;
    else if (half < -Math.PI / 2) half += Math.PI;
    let h = angle1 + half;
    if (h < 0) h += turn;
    const k1 = Math.cos(h);
    const s1 = Math.sin(h);
    const k2 = k1 * k1 - s1 * s1;
    const s2 = 2 * s1 * k1;
    const k3 = k2 * k1 - s2 * s1;
    const s3 = s2 * k1 + k2 * s1;
    const k4 = k2 * k2 - s2 * s2;
    const s4 = 2 * s2 * k2;
    const weight =
      1 -
      0.17 * (k1 * cos30 + s1 * sin30) +
      0.24 * k2 +
      0.32 * (k3 * cos6 - s3 * sin6) -
      0.2 * (k4 * cos63 + s4 * sin63);
    const y = (2 * Math.sqrt(c1 * c2) * Math.sin(half)) / (1 + 0.015 * mean * weight);
    const t = (h - 275 * degree) / (25 * degree);
    // Far from the blue hues the rotation is too small to change a digit.
    const r = t * t > 40 ? 0 : -2 * chromaFactor(mean) * Math.sin(60 * degree * Math.exp(-t * t));
    return l * l + x * x + y * y + r * x * y;
  }

  /**
   * ΔE00², gradient and Hessian of a sample, written to `out` in the order value, L, a, b, LL, aa, ab, bb (∂La and ∂Lb
   * are zero); allocates nothing.
   */
  derivatives(L: number, a: number, b: number, out: Float64Array): void {
    const d = L - this.#L;
    const middle = (L + this.#L) / 2 - 50;
    const w = middle * middle;
    const over = 1 / Math.sqrt(20 + w);
    const S = 1 / (1 + 0.015 * w * over);
    const Sw = 0.015 * (20 + 0.5 * w) * over * over * over;
    const Sww = 0.015 * over * over * over * (0.5 - 1.5 * (20 + 0.5 * w) * over * over);
    const S1 = Sw * middle;
    const S2 = Sww * w + 0.5 * Sw;
    const square = S * S;
    const value = d * d * square;
    out[1] = 2 * d * square * (1 - d * S * S1);
    out[4] = 2 * square - 8 * d * square * S * S1 + 6 * value * square * S1 * S1 - 2 * value * S * S2;
    this.#chromatic(a, b);
    out[0] = value + J[scratch];
    out[2] = J[scratch + 1];
    out[3] = J[scratch + 2];
    out[5] = J[scratch + 3];
    out[6] = J[scratch + 4];
    out[7] = J[scratch + 5];
  }

  /** Leaves the jet of the part of ΔE00² without lightness in `scratch`. */
  #chromatic(a: number, b: number): void {
    const Cs = Math.max(Math.sqrt(a * a + b * b), neutral);
    const cube = 1 / (Cs * Cs * Cs);
    // Mean chroma before the stretch of a*; half of the sample's derivatives.
    J[chroma] = (this.#chroma + Cs) / 2;
    J[chroma + 1] = a / Cs / 2;
    J[chroma + 2] = b / Cs / 2;
    J[chroma + 3] = (b * b * cube) / 2;
    J[chroma + 4] = (-a * b * cube) / 2;
    J[chroma + 5] = (a * a * cube) / 2;
    chromaFactorJet(stretch, chroma, 1.5, -0.5);
    const g = J[stretch];
    J[x2] = g * a;
    J[x2 + 1] = J[stretch + 1] * a + g;
    J[x2 + 2] = J[stretch + 2] * a;
    J[x2 + 3] = J[stretch + 3] * a + 2 * J[stretch + 1];
    J[x2 + 4] = J[stretch + 4] * a + J[stretch + 2];
    J[x2 + 5] = J[stretch + 5] * a;
    const x = J[x2];
    const c2 = Math.max(Math.sqrt(x * x + b * b), neutral);
    const i2 = 1 / c2;
    const i2c = i2 * i2 * i2;
    withB(C2, x2, c2, x * i2, b * i2, b * b * i2c, -x * b * i2c, x * x * i2c);
    for (let k = 0; k < 6; k++) J[x1 + k] = this.#a * J[stretch + k];
    const b1 = this.#b;
    const a1 = J[x1];
    const c1 = Math.sqrt(a1 * a1 + b1 * b1);
    if (c1 < neutral) {
      // A reference without hue: only chroma counts.
      overWeight(overSC, C2, 0.0225);
      multiply(xPart, C2, overSC);
      multiply(scratch, xPart, xPart);
      return;
    }
    const i1 = 1 / c1;
    unary(C1, x1, c1, a1 * i1, b1 * b1 * i1 * i1 * i1);
    const angle1 = Math.atan2(b1, a1);
    unary(h1, x1, angle1, -b1 * i1 * i1, 2 * b1 * a1 * i1 * i1 * i1 * i1);
    const i22 = i2 * i2;
    const twist = 2 * x * b * i22 * i22;
    let angle2 = Math.atan2(b, x);
    if (angle2 - angle1 > Math.PI) angle2 -= turn;
    else if (angle2 - angle1 < -Math.PI) angle2 += turn;
    withB(h2, x2, angle2, -b * i22, x * i22, twist, (b * b - x * x) * i22 * i22, -twist);

    combine(halfTurn, 0.5, h2, -0.5, h1, 0);
    const s = Math.sin(J[halfTurn]);
    unary(sine, halfTurn, s, Math.cos(J[halfTurn]), -s);
    multiply(product, C1, C2);
    const r = Math.sqrt(J[product]);
    unary(root, product, 2 * r, 1 / r, -0.5 / (r * r * r));
    multiply(H, root, sine);
    combine(C, 1, C2, -1, C1, 0);
    combine(meanC, 0.5, C1, 0.5, C2, 0);
    const mean = (angle1 + angle2) / 2;
    combine(meanH, 0.5, h1, 0.5, h2, mean < 0 ? turn : mean >= turn ? -turn : 0);

    hueWeightJet(T, meanH);
    overWeight(overSC, meanC, 0.045);
    multiply(meanCT, meanC, T);
    overWeight(overSH, meanCT, 0.015);
    multiply(xPart, C, overSC);
    multiply(yPart, H, overSH);
    rotationJet(rotation, meanH);
    chromaFactorJet(scratch, meanC, 0, 2);
    multiply(rotation, rotation, scratch);
    multiply(scratch, xPart, yPart);
    multiply(rotation, rotation, scratch);
    multiply(scratch, xPart, xPart);
    multiply(yPart, yPart, yPart);
    for (let k = 0; k < 6; k++) J[scratch + k] += J[yPart + k] + J[rotation + k];
  }
}
