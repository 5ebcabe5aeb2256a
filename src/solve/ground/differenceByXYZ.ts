import type { TristimulusWeights } from "../../colour/weights.ts";
import { SquaredDifference } from "../differenceDerivatives.ts";

const breakpoint = 216 / 24389;
const slope = 24389 / 27 / 116;

/** The f of CIELAB. Source: ISO/CIE 11664-4. */
function labRoot(t: number): number {
  return t > breakpoint ? Math.cbrt(t) : slope * t + 16 / 116;
}

/** Smoothed ΔE00 to a target in one light, √(ΔE00² + ε²) − ε, as a function of seen reflectance. */
export class LightDifference {
  /** Weights that give X, Y, Z relative to the white. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
  readonly #difference: SquaredDifference;
  readonly #square = new Float64Array(8);
  /** After `derivatives`: gradient by relative X, Y, Z (3) and Hessian xx, xy, xz, yy, yz, zz. */
  readonly byXYZ = new Float64Array(9);
  /** After `derivatives`: slopes of the roots of CIELAB by relative X, Y, Z. */
  readonly rootSlopes = new Float64Array(3);

  constructor(weights: TristimulusWeights, target: ArrayLike<number>) {
    this.x = weights.x.map((w) => w / weights.white[0]);
    this.y = weights.y.map((w) => w / weights.white[1]);
    this.z = weights.z.map((w) => w / weights.white[2]);
    this.#difference = new SquaredDifference(target);
  }

  value(seen: Float64Array, eps: number): number {
    const { x, y, z } = this;
    let X = 0;
    let Y = 0;
    let Z = 0;
    for (let k = 0; k < seen.length; k++) {
      X += x[k] * seen[k];
      Y += y[k] * seen[k];
      Z += z[k] * seen[k];
    }
    const fx = labRoot(X);
    const fy = labRoot(Y);
    const fz = labRoot(Z);
    const square = this.#difference.value(116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz));
    return Math.sqrt(Math.max(square, 0) + eps * eps) - eps;
  }

  /** As `value`, leaving the derivatives in the fields. */
  derivatives(seen: Float64Array, eps: number): number {
    const { x, y, z, byXYZ: by } = this;
    const square = this.#square;
    let X = 0;
    let Y = 0;
    let Z = 0;
    for (let k = 0; k < seen.length; k++) {
      X += x[k] * seen[k];
      Y += y[k] * seen[k];
      Z += z[k] * seen[k];
    }
    const fx = labRoot(X);
    const fy = labRoot(Y);
    const fz = labRoot(Z);
    this.#difference.derivatives(116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz), square);
    const E = Math.sqrt(Math.max(square[0], 0) + eps * eps);
    // √(E² + ε²): gradient g/2E, Hessian h/2E − g·gᵀ/4E³.
    const half = E > 0 ? 1 / (2 * E) : 0;
    const bend = E > 0 ? half / (2 * E * E) : 0;
    const [, gL, ga, gb] = square;
    const LL = half * square[4] - bend * gL * gL;
    const La = -bend * gL * ga;
    const Lb = -bend * gL * gb;
    const aa = half * square[5] - bend * ga * ga;
    const ab = half * square[6] - bend * ga * gb;
    const bb = half * square[7] - bend * gb * gb;
    // By the roots: L = 116fy − 16, a = 500(fx − fy), b = 200(fy − fz).
    const gx = 500 * half * ga;
    const gz = -200 * half * gb;
    const gy = 116 * half * gL - gx - gz;
    const ya = 116 * La - 500 * aa + 200 * ab;
    const yb = 116 * Lb - 500 * ab + 200 * bb;
    const yL = 116 * LL - 500 * La + 200 * Lb;
    const yy = 116 * yL - 500 * ya + 200 * yb;
    const x1 = X > breakpoint ? fx / (3 * X) : slope;
    const y1 = Y > breakpoint ? fy / (3 * Y) : slope;
    const z1 = Z > breakpoint ? fz / (3 * Z) : slope;
    const x2 = X > breakpoint ? (-2 * x1) / (3 * X) : 0;
    const y2 = Y > breakpoint ? (-2 * y1) / (3 * Y) : 0;
    const z2 = Z > breakpoint ? (-2 * z1) / (3 * Z) : 0;
    this.rootSlopes[0] = x1;
    this.rootSlopes[1] = y1;
    this.rootSlopes[2] = z1;
    by[0] = gx * x1;
    by[1] = gy * y1;
    by[2] = gz * z1;
    by[3] = 250000 * aa * x1 * x1 + gx * x2;
    by[4] = 500 * ya * x1 * y1;
    by[5] = -100000 * ab * x1 * z1;
    by[6] = yy * y1 * y1 + gy * y2;
    by[7] = -200 * yb * y1 * z1;
    by[8] = 40000 * bb * z1 * z1 + gz * z2;
    return E - eps;
  }
}
