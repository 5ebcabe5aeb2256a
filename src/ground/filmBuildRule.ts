import { within } from "../colour/checks.ts";
import { gaussOnUnitInterval } from "../optics/transfer/streams.ts";

/** Film builds, as shares of the planned one, and how likely each is (sum 1). */
export interface FilmBuildRule {
  readonly builds: Float64Array;
  readonly weights: Float64Array;
  /** Share of the normal distribution below zero thickness, which was cut off. */
  readonly cutOff: number;
}

// Beyond five standard deviations lies less than a millionth.
const reach = 5;
const nodesInPanel = 4;

/**
 * Quadrature over a film build that varies normally about the planned one; what would be thinner than nothing
 * is cut off and the rest scaled up to 1 (truncated normal distribution).
 *
 * Gauss's rule on panels, the density counted in the weights. A single Gauss-Hermite rule is no good here: as
 * a function of the build a colour difference has a crease where the match is nearest, and 31 nodes then err
 * by some thousandths of ΔE00.
 *
 * @param sigma standard deviation as a share of the planned build, 0…1; 0 gives the planned build alone
 * @param panels 4 nodes each
 * @throws RangeError for a value out of range
 * Source: definition; Abramowitz, Stegun 25.4.30.
 */
export function filmBuildRule(sigma: number, panels: number): FilmBuildRule {
  within("standard deviation of the film build", sigma, 0, 1);
  if (sigma === 0) return { builds: Float64Array.of(1), weights: Float64Array.of(1), cutOff: 0 };
  const low = Math.max(0, 1 - reach * sigma);
  const high = 1 + reach * sigma;
  const { nodes, weights: gauss } = gaussOnUnitInterval(nodesInPanel);
  const builds = new Float64Array(panels * nodesInPanel);
  const weights = new Float64Array(builds.length);
  let sum = 0;
  // Where nothing at all may lie, panels are narrower towards it: a film's first traces change the colour
  // most.
  const grade = low === 0 ? 1.5 : 1;
  const edge = (p: number): number => low + (high - low) * (p / panels) ** grade;
  for (let p = 0; p < panels; p++) {
    const [from, width] = [edge(p), edge(p + 1) - edge(p)];
    for (let k = 0; k < nodesInPanel; k++) {
      const at = p * nodesInPanel + k;
      builds[at] = from + width * nodes[nodesInPanel - 1 - k];
      const z = (builds[at] - 1) / sigma;
      weights[at] = width * gauss[nodesInPanel - 1 - k] * Math.exp((-z * z) / 2);
      sum += weights[at];
    }
  }
  for (let at = 0; at < weights.length; at++) weights[at] /= sum;
  return { builds, weights, cutOff: belowZero(sigma) };
}

/**
 * Share of a normal distribution with mean 1 that lies below 0.
 * Source: Φ(−x) as a continued fraction (Abramowitz, Stegun 26.2.14), x = 1/σ ≥ 1.
 */
export function belowZero(sigma: number): number {
  if (sigma === 0) return 0;
  const x = 1 / sigma;
  let below = 0;
  for (let k = 400; k >= 1; k--) below = k / (x + below);
  return Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI) / (x + below);
}
