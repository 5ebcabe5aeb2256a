import type { TristimulusWeights } from "../colour/weights.ts";
import { SquaredDifference } from "./differenceDerivatives.ts";

const breakpoint = 216 / 24389;
const slope = 24389 / 27 / 116;

/** The f of CIELAB by relative X, Y or Z, and its slope. Source: ISO/CIE 11664-4. */
export const labRoot = (t: number): number => (t > breakpoint ? Math.cbrt(t) : slope * t + 16 / 116);
export const labRootSlope = (t: number): number => (t > breakpoint ? 1 / (3 * Math.cbrt(t) ** 2) : slope);

/**
 * The part of one light in an objective, weight·(√(ΔE00² + ε²) − ε), from the seen reflectance through XYZ and CIELAB.
 * For hot loops: allocates nothing, checks nothing. What the last reflectance gave is left in the fields.
 */
export class LightTerm {
  /** Weights over the white's tristimulus values, so that sums are relative X, Y, Z. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
  readonly weight: number;
  readonly #difference: SquaredDifference;
  readonly #square = new Float64Array(8);
  /** Relative X, Y, Z and their roots fx, fy, fz. */
  readonly #XYZ = new Float64Array(3);
  readonly #roots = new Float64Array(3);
  readonly #Lab = new Float64Array(3);
  /** Slopes of fx, fy, fz by relative X, Y, Z. */
  readonly rootSlopes = new Float64Array(3);
  /** Gradient (3) and Hessian (xx, xy, xz, yy, yz, zz) of the term by relative X, Y, Z. */
  readonly byXYZ = new Float64Array(9);

  /** @param target CIELAB in this light */
  constructor({ x, y, z, white }: TristimulusWeights, weight: number, target: ArrayLike<number>) {
    this.x = x.map((w) => w / white[0]);
    this.y = y.map((w) => w / white[1]);
    this.z = z.map((w) => w / white[2]);
    this.weight = weight;
    this.#difference = new SquaredDifference(target);
  }

  #look(seen: Float64Array): void {
    const { x, y, z } = this;
    let X = 0;
    let Y = 0;
    let Z = 0;
    for (let k = 0; k < seen.length; k++) {
      const R = seen[k];
      X += x[k] * R;
      Y += y[k] * R;
      Z += z[k] * R;
    }
    this.#XYZ[0] = X;
    this.#XYZ[1] = Y;
    this.#XYZ[2] = Z;
    for (let i = 0; i < 3; i++) {
      const t = this.#XYZ[i];
      const root = labRoot(t);
      this.#roots[i] = root;
      this.rootSlopes[i] = t > breakpoint ? root / (3 * t) : slope;
    }
    const fx = this.#roots[0];
    const fy = this.#roots[1];
    const fz = this.#roots[2];
    this.#Lab[0] = 116 * fy - 16;
    this.#Lab[1] = 500 * (fx - fy);
    this.#Lab[2] = 200 * (fy - fz);
  }

  /** CIELAB of a seen reflectance, written to `out` from `at`; the slopes of the roots are left in `rootSlopes`. */
  labInto(seen: Float64Array, out: Float64Array, at: number): void {
    this.#look(seen);
    out.set(this.#Lab, at);
  }

  /** ΔE00 of a seen reflectance. */
  difference(seen: Float64Array): number {
    this.#look(seen);
    const Lab = this.#Lab;
    return Math.sqrt(Math.max(this.#difference.value(Lab[0], Lab[1], Lab[2]), 0));
  }

  /** The term of a seen reflectance. */
  value(seen: Float64Array, smoothing: number): number {
    const E = this.difference(seen);
    return this.weight * (smoothing === 0 ? E : Math.sqrt(E * E + smoothing * smoothing) - smoothing);
  }

  /** The term; its derivatives by X, Y, Z are left in `byXYZ`, those by reflectance are added to `pull`. */
  derivatives(seen: Float64Array, smoothing: number, pull: Float64Array): number {
    this.#look(seen);
    const square = this.#square;
    const Lab = this.#Lab;
    this.#difference.derivatives(Lab[0], Lab[1], Lab[2], square);
    const E = Math.sqrt(Math.max(square[0], 0) + smoothing * smoothing);
    // √(E² + ε²): gradient g/2E, Hessian h/2E − g·gᵀ/4E³.
    const half = E > 0 ? this.weight / (2 * E) : 0;
    const bend = E > 0 ? half / (2 * E * E) : 0;
    const gL = square[1];
    const ga = square[2];
    const gb = square[3];
    const LL = half * square[4] - bend * gL * gL;
    const La = -bend * gL * ga;
    const Lb = -bend * gL * gb;
    const aa = half * square[5] - bend * ga * ga;
    const ab = half * square[6] - bend * ga * gb;
    const bb = half * square[7] - bend * gb * gb;
    // By fx, fy, fz: L = 116fy − 16, a = 500(fx − fy), b = 200(fy − fz).
    const gx = 500 * half * ga;
    const gz = -200 * half * gb;
    const gy = 116 * half * gL - gx - gz;
    const yL = 116 * LL - 500 * La + 200 * Lb;
    const ya = 116 * La - 500 * aa + 200 * ab;
    const yb = 116 * Lb - 500 * ab + 200 * bb;
    const xx = 250000 * aa;
    const xy = 500 * ya;
    const xz = -100000 * ab;
    const yy = 116 * yL - 500 * ya + 200 * yb;
    const yz = -200 * yb;
    const zz = 40000 * bb;
    // By relative X, Y, Z.
    const x1 = this.rootSlopes[0];
    const y1 = this.rootSlopes[1];
    const z1 = this.rootSlopes[2];
    const x2 = this.#rootCurve(0);
    const y2 = this.#rootCurve(1);
    const z2 = this.#rootCurve(2);
    const by = this.byXYZ;
    const dX = gx * x1;
    const dY = gy * y1;
    const dZ = gz * z1;
    by[0] = dX;
    by[1] = dY;
    by[2] = dZ;
    by[3] = xx * x1 * x1 + gx * x2;
    by[4] = xy * x1 * y1;
    by[5] = xz * x1 * z1;
    by[6] = yy * y1 * y1 + gy * y2;
    by[7] = yz * y1 * z1;
    by[8] = zz * z1 * z1 + gz * z2;
    const { x: wx, y: wy, z: wz } = this;
    for (let k = 0; k < pull.length; k++) pull[k] += dX * wx[k] + dY * wy[k] + dZ * wz[k];
    return this.weight * (E - smoothing);
  }

  /** Second derivative of a root by its relative X, Y or Z. */
  #rootCurve(i: number): number {
    const t = this.#XYZ[i];
    return t > breakpoint ? (-2 * this.rootSlopes[i]) / (3 * t) : 0;
  }
}
