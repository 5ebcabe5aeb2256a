import { atLeastZero, within } from "../../src/colour/checks.ts";

/** What two-flux theory gives for the same film: e^(−2τ). */
export function diffuseTransmittanceTwoFlux(tau: number): number {
  atLeastZero("optical thickness", tau);
  return Math.exp(-2 * tau);
}

/** Exact reflectances of an infinitely thick medium with isotropic scattering. */
interface SemiInfinite {
  /** H-function at normal incidence */
  H1: number;
  /** moments of H: ∫H dμ and ∫μH dμ over 0…1 */
  moments: [number, number];
  /** reflectance for light along the normal */
  normal: number;
  /** reflectance for diffuse light */
  diffuse: number;
}

/**
 * Exact reflectance of an infinitely thick, isotropically scattering medium.
 *
 * @param albedo single-scattering albedo ω = s/(k + s), 0…1
 * @throws RangeError outside 0…1
 * Source: Chandrasekhar 1950: H(μ) = 1/(√(1−ω) + ½ω∫μ′H(μ′)/(μ+μ′)dμ′); plane albedo 1 − H(μ)√(1−ω),
 * spherical albedo 1 − 2α₁√(1−ω).
 */
export function semiInfinite(albedo: number): SemiInfinite {
  within("single-scattering albedo", albedo, 0, 1);
  const root = Math.sqrt(1 - albedo);
  const { nodes, weights } = gaussLegendre();
  const n = nodes.length;
  const at = (mu: number, H: Float64Array): number => {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += (weights[j] * nodes[j] * H[j]) / (mu + nodes[j]);
    return 1 / (root + (albedo / 2) * sum);
  };
  let H = new Float64Array(n).fill(1);
  for (let pass = 0; pass < 500; pass++) {
    let change = 0;
    const next = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      // Each pass overshoots; the mean of old and new converges.
      next[i] = (H[i] + at(nodes[i], H)) / 2;
      change = Math.max(change, Math.abs(next[i] - H[i]));
    }
    H = next;
    if (change < 1e-14) break;
  }
  let alpha0 = 0;
  let alpha1 = 0;
  for (let j = 0; j < n; j++) {
    alpha0 += weights[j] * H[j];
    alpha1 += weights[j] * nodes[j] * H[j];
  }
  const H1 = at(1, H);
  return { H1, moments: [alpha0, alpha1], normal: 1 - H1 * root, diffuse: 1 - 2 * alpha1 * root };
}

let quadrature: { nodes: Float64Array; weights: Float64Array } | undefined;

/** Gauss-Legendre nodes and weights on 0…1, as many as the H-function needs for six digits. */
function gaussLegendre(n = 64): { nodes: Float64Array; weights: Float64Array } {
  if (quadrature) return quadrature;
  const nodes = new Float64Array(n);
  const weights = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (n + 0.5));
    let slope = 0;
    for (let pass = 0; pass < 20; pass++) {
      let [p, before] = [1, 0];
      for (let j = 0; j < n; j++) [p, before] = [((2 * j + 1) * x * p - j * before) / (j + 1), p];
      slope = (n * (x * p - before)) / (x * x - 1);
      const step = p / slope;
      x -= step;
      if (Math.abs(step) < 1e-15) break;
    }
    nodes[i] = (1 + x) / 2;
    weights[i] = 1 / ((1 - x * x) * slope * slope);
  }
  quadrature = { nodes, weights };
  return quadrature;
}
