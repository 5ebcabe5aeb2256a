/**
 * Seen reflectance of a colour film over a whole spectrum, with first and second derivatives by its optical depths
 * α = K·X and σ = S·X. For hot loops: arrays of one length, nothing checked, nothing allocated.
 *
 * Film on a ground: Kubelka 1948 (from memory) as R = N/D, N = Rg + (σ − Rg·m)·T, D = 1 + (m − Rg·σ)·T, m = α + σ,
 * T = tanh(√z)/√z, z = α(α + 2σ). Opaque film: Kubelka, Munk 1931, R = σ/(m + √z); there only the ratio α : σ counts.
 * Surface: Saunderson 1942, seen = added + through·R/(1 − k2·R), where added is what the surface itself reflects to the eye.
 */

/** Constants of the surface in the form the loops use. */
export interface SurfaceTerms {
  /** Reflection added by the surface, sheen·k1. */
  readonly added: number;
  /** (1 − k1)(1 − k2). */
  readonly through: number;
  /** Internal reflection k2. */
  readonly inner: number;
}

/** Seen reflectance and its derivatives by α and σ, one number for each wavelength. */
export interface FilmDerivatives {
  readonly value: Float64Array;
  readonly a: Float64Array;
  readonly s: Float64Array;
  readonly aa: Float64Array;
  readonly as: Float64Array;
  readonly ss: Float64Array;
}

/** The same with the derivatives by the reflectance g of the ground. */
export interface CoverDerivatives extends FilmDerivatives {
  readonly g: Float64Array;
  readonly ag: Float64Array;
  readonly sg: Float64Array;
  readonly gg: Float64Array;
}

export function filmDerivatives(length: number): FilmDerivatives {
  const row = () => new Float64Array(length);
  return { value: row(), a: row(), s: row(), aa: row(), as: row(), ss: row() };
}

export function coverDerivatives(length: number): CoverDerivatives {
  const row = () => new Float64Array(length);
  return { ...filmDerivatives(length), g: row(), ag: row(), sg: row(), gg: row() };
}

// tanh(√z)/√z = 1 − z/3 + 2z²/15 − … (Taylor). Below this z the direct form of its second derivative, divided by z²,
// would lose digits; the first term left out is below 1e-16 here.
const seriesBelow = 0.02;
const t1 = -1 / 3;
const t2 = 2 / 15;
const t3 = -17 / 315;
const t4 = 62 / 2835;
const t5 = -1382 / 155925;
const t6 = 21844 / 6081075;
const t7 = -929569 / 638512875;

/** Seen reflectance of a coat over a ground. */
export function coatSeenInto(
  alpha: Float64Array,
  sigma: Float64Array,
  ground: Float64Array,
  { added, through, inner }: SurfaceTerms,
  out: Float64Array,
): void {
  for (let i = 0; i < out.length; i++) {
    const al = alpha[i];
    const si = sigma[i];
    const Rg = ground[i];
    const m = al + si;
    const z = al * (al + 2 * si);
    let T: number;
    if (z < seriesBelow) {
      T = 1 + z * (t1 + z * (t2 + z * (t3 + z * (t4 + z * (t5 + z * (t6 + z * t7))))));
    } else {
      const root = Math.sqrt(z);
      const e = Math.exp(-2 * root);
      T = (1 - e) / (root * (1 + e));
    }
    const R = (Rg + (si - Rg * m) * T) / (1 + (m - Rg * si) * T);
    out[i] = added + (through * R) / (1 - inner * R);
  }
}

/** Seen reflectance of a coat over a ground with first and second derivatives, where asked for also by the ground. */
export function coatDerivativesInto(
  alpha: Float64Array,
  sigma: Float64Array,
  ground: Float64Array,
  { added, through, inner }: SurfaceTerms,
  out: FilmDerivatives | CoverDerivatives,
): void {
  const { value, a, s, aa, as, ss } = out;
  const cover = "gg" in out ? out : undefined;
  for (let i = 0; i < value.length; i++) {
    const al = alpha[i];
    const si = sigma[i];
    const Rg = ground[i];
    const m = al + si;
    const z = al * (al + 2 * si);
    let T: number;
    let T1: number;
    let T2: number;
    if (z < seriesBelow) {
      T = 1 + z * (t1 + z * (t2 + z * (t3 + z * (t4 + z * (t5 + z * (t6 + z * t7))))));
      T1 = t1 + z * (2 * t2 + z * (3 * t3 + z * (4 * t4 + z * (5 * t5 + z * (6 * t6 + z * 7 * t7)))));
      T2 = 2 * t2 + z * (6 * t3 + z * (12 * t4 + z * (20 * t5 + z * (30 * t6 + z * 42 * t7))));
    } else {
      const root = Math.sqrt(z);
      const e = Math.exp(-2 * root);
      T = (1 - e) / (root * (1 + e));
      // 2zT′ + T = sech²√z = 1 − zT², and its derivative.
      const half = 0.5 / z;
      T1 = ((4 * e) / ((1 + e) * (1 + e)) - T) * half;
      T2 = -(T * T + (2 * z * T + 3) * T1) * half;
    }
    // dz = 2m dα + 2α dσ; second derivatives of z by αα and ασ are 2, by σσ 0.
    const Ta = 2 * m * T1;
    const Ts = 2 * al * T1;
    const Taa = 4 * m * m * T2 + 2 * T1;
    const Tas = 4 * m * al * T2 + 2 * T1;
    const Tss = 4 * al * al * T2;
    const A = si - Rg * m;
    const As = 1 - Rg;
    const B = m - Rg * si;
    const D = 1 / (1 + B * T);
    const R = (Rg + A * T) * D;
    const Da = T + B * Ta;
    const Ds = As * T + B * Ts;
    const Ra = (A * Ta - Rg * T - R * Da) * D;
    const Rs = (As * T + A * Ts - R * Ds) * D;
    const Raa = (A * Taa - 2 * Rg * Ta - R * (2 * Ta + B * Taa) - 2 * Ra * Da) * D;
    const Ras = (A * Tas + As * Ta - Rg * Ts - R * (Ts + As * Ta + B * Tas) - Ra * Ds - Rs * Da) * D;
    const Rss = (A * Tss + 2 * As * Ts - R * (2 * As * Ts + B * Tss) - 2 * Rs * Ds) * D;
    const open = 1 / (1 - inner * R);
    const V1 = through * open * open;
    const V2 = 2 * inner * V1 * open;
    value[i] = added + through * R * open;
    a[i] = V1 * Ra;
    s[i] = V1 * Rs;
    aa[i] = V1 * Raa + V2 * Ra * Ra;
    as[i] = V1 * Ras + V2 * Ra * Rs;
    ss[i] = V1 * Rss + V2 * Rs * Rs;
    if (cover === undefined) continue;
    const Dg = -si * T;
    const Rgr = (1 - m * T - R * Dg) * D;
    const Rag = (-T - m * Ta + R * si * Ta - Ra * Dg - Rgr * Da) * D;
    const Rsg = (-T - m * Ts + R * (T + si * Ts) - Rs * Dg - Rgr * Ds) * D;
    const Rgg = -2 * Rgr * Dg * D;
    cover.g[i] = V1 * Rgr;
    cover.ag[i] = V1 * Rag + V2 * Ra * Rgr;
    cover.sg[i] = V1 * Rsg + V2 * Rs * Rgr;
    cover.gg[i] = V1 * Rgg + V2 * Rgr * Rgr;
  }
}

// Keeps √z and the ratio defined where a component neither absorbs nor scatters; far below any real coefficient.
const faint = 1e-12;

/** Seen reflectance of an opaque film; α and σ may carry any common scale. */
export function opaqueSeenInto(
  alpha: Float64Array,
  sigma: Float64Array,
  { added, through, inner }: SurfaceTerms,
  out: Float64Array,
): void {
  for (let i = 0; i < out.length; i++) {
    const al = alpha[i] + faint;
    const si = sigma[i];
    const R = si / (al + si + Math.sqrt(al * (al + 2 * si)));
    out[i] = added + (through * R) / (1 - inner * R);
  }
}

/** Seen reflectance of an opaque film with first and second derivatives. */
export function opaqueDerivativesInto(
  alpha: Float64Array,
  sigma: Float64Array,
  { added, through, inner }: SurfaceTerms,
  out: FilmDerivatives,
): void {
  const { value, a, s, aa, as, ss } = out;
  for (let i = 0; i < value.length; i++) {
    const al = alpha[i] + faint;
    const si = sigma[i];
    const m = al + si;
    const root = Math.sqrt(al * (al + 2 * si));
    const D = 1 / (m + root);
    const cube = 1 / (root * root * root);
    const R = si * D;
    const Da = 1 + m / root;
    const Ds = 1 + al / root;
    const Daa = -si * si * cube;
    const Das = al * si * cube;
    const Dss = -al * al * cube;
    const Ra = -R * Da * D;
    const Rs = (1 - R * Ds) * D;
    const Raa = -(R * Daa + 2 * Ra * Da) * D;
    const Ras = -(R * Das + Ra * Ds + Rs * Da) * D;
    const Rss = -(R * Dss + 2 * Rs * Ds) * D;
    const open = 1 / (1 - inner * R);
    const V1 = through * open * open;
    const V2 = 2 * inner * V1 * open;
    value[i] = added + through * R * open;
    a[i] = V1 * Ra;
    s[i] = V1 * Rs;
    aa[i] = V1 * Raa + V2 * Ra * Ra;
    as[i] = V1 * Ras + V2 * Ra * Rs;
    ss[i] = V1 * Rss + V2 * Rs * Rs;
  }
}
