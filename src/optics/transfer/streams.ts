import { wholeNumber } from "../../colour/checks.ts";

/**
 * Directions in which the light of a hemisphere is followed: cosines of the angle to the normal, with
 * weights. A last direction along the normal may be added; it carries no weight, so it only listens.
 */
export interface Streams {
  readonly length: number;
  /** μ, above 0, up to 1 */
  readonly cosines: Float64Array;
  /** weights of ∫₀¹ dμ */
  readonly weights: Float64Array;
  /** 2μ·weight: share of each direction in the flux of diffuse light; sums to 1 */
  readonly flux: Float64Array;
  /** Number of directions that carry weight. */
  readonly carrying: number;
}

/**
 * Gauss-Legendre nodes and weights on 0…1.
 *
 * Source: definition; Newton's iteration on the Legendre polynomial from the usual cosine start (Abramowitz,
 * Stegun 25.4.30 for the weights).
 */
export function gaussOnUnitInterval(n: number): { nodes: Float64Array; weights: Float64Array } {
  wholeNumber("number of nodes", n, 1);
  const nodes = new Float64Array(n);
  const weights = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (n + 0.5));
    let slope = 0;
    for (let pass = 0; pass < 50; pass++) {
      let p = 1;
      let before = 0;
      for (let j = 0; j < n; j++) {
        const next = ((2 * j + 1) * x * p - j * before) / (j + 1);
        before = p;
        p = next;
      }
      slope = (n * (x * p - before)) / (x * x - 1);
      const step = p / slope;
      x -= step;
      if (Math.abs(step) < 1e-15) break;
    }
    nodes[i] = (1 + x) / 2;
    weights[i] = 1 / ((1 - x * x) * slope * slope);
  }
  return { nodes, weights };
}

const made = new Map<string, Streams>();

/**
 * Directions of a hemisphere by Gauss's rule on 0…1 (double-Gauss: each hemisphere by itself).
 *
 * @param count directions in each hemisphere, at least 2   @param listening add the direction along the normal
 * Source: Sykes 1951 (double-Gauss quadrature; from memory).
 */
export function streamsOf(count: number, listening = false): Streams {
  wholeNumber("streams", count, 2);
  const key = `${count}${listening ? "+" : ""}`;
  let streams = made.get(key);
  if (streams === undefined) {
    const { nodes, weights } = gaussOnUnitInterval(count);
    const cosines = Float64Array.from(listening ? [...nodes, 1] : nodes);
    const all = Float64Array.from(listening ? [...weights, 0] : weights);
    const flux = all.map((weight, i) => 2 * cosines[i] * weight);
    streams = { length: cosines.length, cosines, weights: all, flux, carrying: count };
    made.set(key, streams);
  }
  return streams;
}
