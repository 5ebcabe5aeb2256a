import type { SurfaceConstants } from "../optics/interface.ts";

/**
 * Seen reflectance of a colour film over a whole spectrum, with first and second derivatives by its optical depths
 * α = K·X and σ = S·X. For hot loops: arrays of one length, nothing checked, nothing allocated.
 *
 * Film on a ground: Kubelka 1948 (from memory) as R = N/D, N = Rg + (σ − Rg·m)·T, D = 1 + (m − Rg·σ)·T, m = α + σ,
 * T = tanh(√z)/√z, z = α(α + 2σ). Opaque film: the limit Rg = 0, T = 1/√z, which is Kubelka, Munk 1931,
 * R = σ/(m + √z); there only the ratio α : σ counts.
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

/** @param sheen share of the surface reflection that reaches the eye, 0…1 */
export function surfaceTerms(
  { externalReflection: k1, internalReflection: k2 }: SurfaceConstants,
  sheen: number,
): SurfaceTerms {
  return { added: sheen * k1, through: (1 - k1) * (1 - k2), inner: k2 };
}

/** A film that lies under another: what is asked for is its internal reflectance. */
export const noSurface: SurfaceTerms = { added: 0, through: 1, inner: 0 };

/** Seen reflectance and its derivatives by α and σ, one number for each wavelength. */
export interface FilmDerivatives {
  readonly value: Float64Array;
  readonly a: Float64Array;
  readonly s: Float64Array;
  readonly aa: Float64Array;
  readonly as: Float64Array;
  readonly ss: Float64Array;
  /** Derivatives by the reflectance g of what lies under it, where they are wanted. */
  readonly byGround?: Readonly<Record<"g" | "ag" | "sg" | "gg", Float64Array>>;
}

export function filmDerivatives(length: number, byGround = false): FilmDerivatives {
  const row = () => new Float64Array(length);
  return {
    value: row(),
    a: row(),
    s: row(),
    aa: row(),
    as: row(),
    ss: row(),
    byGround: byGround ? { g: row(), ag: row(), sg: row(), gg: row() } : undefined,
  };
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

// Keeps √z and the ratio defined where an opaque film neither absorbs nor scatters; far below any real coefficient.
const faint = 1e-12;

/** Seen reflectance of a film over a ground, or of an opaque one where there is none. */
export function filmSeenInto(
  alpha: Float64Array,
  sigma: Float64Array,
  ground: Float64Array | undefined,
  { added, through, inner }: SurfaceTerms,
  out: Float64Array,
): void {
  for (let i = 0; i < out.length; i++) {
    const al = ground ? alpha[i] : alpha[i] + faint;
    const si = sigma[i];
    const Rg = ground ? ground[i] : 0;
    const m = al + si;
    const z = al * (al + 2 * si);
    let T: number;
    if (ground && z < seriesBelow) {
      T = 1 + z * (t1 + z * (t2 + z * (t3 + z * (t4 + z * (t5 + z * (t6 + z * t7))))));
    } else {
      const root = Math.sqrt(z);
      const e = ground ? Math.exp(-2 * root) : 0;
      T = (1 - e) / (root * (1 + e));
    }
    const R = (Rg + (si - Rg * m) * T) / (1 + (m - Rg * si) * T);
    out[i] = added + (through * R) / (1 - inner * R);
  }
}

/** The same with first and second derivatives; an opaque film has none by its ground. */
export function filmDerivativesInto(
  alpha: Float64Array,
  sigma: Float64Array,
  ground: Float64Array | undefined,
  { added, through, inner }: SurfaceTerms,
  out: FilmDerivatives,
): void {
  const { value, a, s, aa, as, ss, byGround } = out;
  for (let i = 0; i < value.length; i++) {
    const al = ground ? alpha[i] : alpha[i] + faint;
    const si = sigma[i];
    const Rg = ground ? ground[i] : 0;
    const m = al + si;
    const z = al * (al + 2 * si);
    let T: number;
    let T1: number;
    let T2: number;
    if (ground && z < seriesBelow) {
      T = 1 + z * (t1 + z * (t2 + z * (t3 + z * (t4 + z * (t5 + z * (t6 + z * t7))))));
      T1 = t1 + z * (2 * t2 + z * (3 * t3 + z * (4 * t4 + z * (5 * t5 + z * (6 * t6 + z * 7 * t7)))));
      T2 = 2 * t2 + z * (6 * t3 + z * (12 * t4 + z * (20 * t5 + z * (30 * t6 + z * 42 * t7))));
    } else {
      const root = Math.sqrt(z);
      const e = ground ? Math.exp(-2 * root) : 0;
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
    if (byGround === undefined) continue;
    const Dg = -si * T;
    const Rgr = (1 - m * T - R * Dg) * D;
    const Rag = (-T - m * Ta + R * si * Ta - Ra * Dg - Rgr * Da) * D;
    const Rsg = (-T - m * Ts + R * (T + si * Ts) - Rs * Dg - Rgr * Ds) * D;
    const Rgg = -2 * Rgr * Dg * D;
    byGround.g[i] = V1 * Rgr;
    byGround.ag[i] = V1 * Rag + V2 * Ra * Rgr;
    byGround.sg[i] = V1 * Rsg + V2 * Rs * Rgr;
    byGround.gg[i] = V1 * Rgg + V2 * Rgr * Rgr;
  }
}
