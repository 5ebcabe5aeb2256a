import type { Streams } from "./streams.ts";

/**
 * How a medium passes light among its directions, per unit of optical thickness: dI↓/dτ = −A·I↓ + B·I↑, and
 * the same with the arrows exchanged and −dτ.
 */
export interface Exchange {
  readonly A: Float64Array;
  readonly B: Float64Array;
}

/** Albedo and thickness of the medium that the streams see, and the expansion of its phase function. */
interface Medium {
  readonly albedo: number;
  readonly thickness: number;
  /** Coefficients χ of Σ (2l + 1)·χ_l·P_l, χ₀ = 1. */
  readonly moments: Float64Array;
}

/**
 * A medium with the Henyey-Greenstein phase function, χ_l = g^l, in as many Legendre terms as the streams can
 * bear. What is cut off is a peak in the very direction of the light; it counts as light that has not been
 * scattered.
 *
 * Source: Henyey, Greenstein 1941; the cut by the delta-M method of Wiscombe 1977 (both from memory). g = 0
 * is isotropic.
 */
export function mediumFor(albedo: number, thickness: number, g: number, streams: Streams): Medium {
  if (g === 0) return { albedo, thickness, moments: Float64Array.of(1) };
  const terms = 2 * streams.carrying;
  const peak = g ** terms;
  const moments = Float64Array.from({ length: terms }, (_, l) => (g ** l - peak) / (1 - peak));
  return {
    albedo: (albedo * (1 - peak)) / (1 - albedo * peak),
    thickness: thickness * (1 - albedo * peak),
    moments,
  };
}

/**
 * Exchange among the streams, written to `out`. Source: equation of transfer averaged over azimuth
 * (Chandrasekhar 1950).
 */
export function exchangeInto({ albedo, moments }: Medium, streams: Streams, out: Exchange): void {
  const { length: n, cosines, weights } = streams;
  const { A, B } = out;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      let even = 0;
      let odd = 0;
      if (moments.length === 1) even = 1;
      else {
        // Legendre polynomials of both cosines side by side.
        let p = 1;
        let pBefore = 0;
        let q = 1;
        let qBefore = 0;
        for (let l = 0; l < moments.length; l++) {
          const term = (2 * l + 1) * moments[l] * p * q;
          if (l % 2 === 0) even += term;
          else odd += term;
          const pNext = ((2 * l + 1) * cosines[i] * p - l * pBefore) / (l + 1);
          const qNext = ((2 * l + 1) * cosines[j] * q - l * qBefore) / (l + 1);
          pBefore = p;
          p = pNext;
          qBefore = q;
          q = qNext;
        }
      }
      const half = (albedo * weights[j]) / (2 * cosines[i]);
      A[i * n + j] = (i === j ? 1 / cosines[i] : 0) - half * (even + odd);
      B[i * n + j] = half * (even - odd);
    }
  }
}
