import type { SurfaceTerms } from "../filmDerivatives.ts";

/**
 * Seen reflectance of a colour film over a ground, with first and second derivatives by the film's optical
 * depths α = K·X, σ = S·X and by the reflectance g of the ground, one number for each wavelength.
 */
export interface CoverDerivatives {
  readonly value: Float64Array;
  readonly a: Float64Array;
  readonly s: Float64Array;
  readonly g: Float64Array;
  readonly aa: Float64Array;
  readonly as: Float64Array;
  readonly ss: Float64Array;
  readonly ag: Float64Array;
  readonly sg: Float64Array;
  readonly gg: Float64Array;
}

export function coverDerivatives(length: number): CoverDerivatives {
  const row = () => new Float64Array(length);
  return {
    value: row(),
    a: row(),
    s: row(),
    g: row(),
    aa: row(),
    as: row(),
    ss: row(),
    ag: row(),
    sg: row(),
    gg: row(),
  };
}

// tanh(√z)/√z = 1 − z/3 + 2z²/15 − … (Taylor); below this z its second derivative would lose digits in the
// direct form.
const seriesBelow = 0.02;
const t1 = -1 / 3;
const t2 = 2 / 15;
const t3 = -17 / 315;
const t4 = 62 / 2835;
const t5 = -1382 / 155925;
const t6 = 21844 / 6081075;
const t7 = -929569 / 638512875;

/**
 * Fill `out` for depths and grounds of one length. For hot loops: nothing checked, nothing allocated.
 *
 * Source: Kubelka 1948 (from memory) as R = N/D with N = g + (σ − g·m)·T, D = 1 + (m − g·σ)·T, m = α + σ, T =
 * tanh(√z)/√z, z = α(α + 2σ), differentiated; surface by Saunderson 1942.
 */
export function coverDerivativesInto(
  alpha: Float64Array,
  sigma: Float64Array,
  ground: Float64Array,
  { added, through, inner }: SurfaceTerms,
  out: CoverDerivatives,
): void {
  for (let i = 0; i < ground.length; i++) {
    const al = alpha[i];
    const si = sigma[i];
    const g = ground[i];
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
    const Ta = 2 * m * T1;
    const Ts = 2 * al * T1;
    const Taa = 4 * m * m * T2 + 2 * T1;
    const Tas = 4 * m * al * T2 + 2 * T1;
    const Tss = 4 * al * al * T2;
    const A = si - g * m;
    const B = m - g * si;
    const As = 1 - g;
    const D = 1 / (1 + B * T);
    const R = (g + A * T) * D;
    const Da = T + B * Ta;
    const Ds = As * T + B * Ts;
    const Dg = -si * T;
    const Ra = (A * Ta - g * T - R * Da) * D;
    const Rs = (As * T + A * Ts - R * Ds) * D;
    const Rg = (1 - m * T - R * Dg) * D;
    const Raa = (A * Taa - 2 * g * Ta - R * (2 * Ta + B * Taa) - 2 * Ra * Da) * D;
    const Ras = (A * Tas + As * Ta - g * Ts - R * (Ts + As * Ta + B * Tas) - Ra * Ds - Rs * Da) * D;
    const Rss = (A * Tss + 2 * As * Ts - R * (2 * As * Ts + B * Tss) - 2 * Rs * Ds) * D;
    const Rag = (-T - m * Ta + R * si * Ta - Ra * Dg - Rg * Da) * D;
    const Rsg = (-T - m * Ts + R * (T + si * Ts) - Rs * Dg - Rg * Ds) * D;
    const Rgg = -2 * Rg * Dg * D;
    const open = 1 / (1 - inner * R);
    const V1 = through * open * open;
    const V2 = 2 * inner * V1 * open;
    out.value[i] = added + through * R * open;
    out.a[i] = V1 * Ra;
    out.s[i] = V1 * Rs;
    out.g[i] = V1 * Rg;
    out.aa[i] = V1 * Raa + V2 * Ra * Ra;
    out.as[i] = V1 * Ras + V2 * Ra * Rs;
    out.ss[i] = V1 * Rss + V2 * Rs * Rs;
    out.ag[i] = V1 * Rag + V2 * Ra * Rg;
    out.sg[i] = V1 * Rsg + V2 * Rs * Rg;
    out.gg[i] = V1 * Rgg + V2 * Rg * Rg;
  }
}
