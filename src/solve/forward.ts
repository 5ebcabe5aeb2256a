import type { TristimulusWeights } from "../colour/weights.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import { SquaredDifference } from "./differenceDerivatives.ts";
import {
  coatDerivativesInto,
  coatSeenInto,
  type FilmDerivatives,
  filmDerivatives,
  opaqueDerivativesInto,
  opaqueSeenInto,
  type SurfaceTerms,
} from "./filmDerivatives.ts";

/**
 * Optical depths of a film as a linear function of its recipe: α = α₀ + Σ xᵢ·αᵢ, σ likewise, one row for each variable.
 *
 * With wet shares uⱼ, volume solids φⱼ and wet thickness W a film's dry thickness is W·Σuφ and its K is Σuφ·K/Σuφ, so that
 * K·X = W·Σ uⱼφⱼKⱼ: mixing by dry volume and the film build of the mix's own solids together are linear in wet shares.
 */
export interface DepthModel {
  readonly length: number;
  readonly baseAlpha: Float64Array;
  readonly baseSigma: Float64Array;
  /** Row i, from i·length: change of α for one unit of variable i. */
  readonly alpha: Float64Array;
  readonly sigma: Float64Array;
  readonly variables: number;
}

/** Opaque, or so many µm of wet film over one or several grounds (internal reflectance on the grid). */
export type Finish =
  | { readonly kind: "opaque" }
  | { readonly kind: "coats"; readonly wetThickness: number; readonly grounds: readonly Float64Array[] };

/** A light to match in, and how much its difference counts. */
export interface WeightedLight {
  readonly weights: TristimulusWeights;
  readonly weight: number;
}

/** A spectral part of the objective: root mean square difference of seen reflectance in per cent. */
export interface SpectralTerm {
  readonly seen: Float64Array;
  readonly weight: number;
  /** Weight of each wavelength; all 1 when left out. */
  readonly wavelengthWeights?: Float64Array;
}

export interface ForwardSetting {
  readonly depths: DepthModel;
  readonly finish: Finish;
  readonly surface: SurfaceConstants;
  /** Share of the surface reflection that reaches the eye, 0…1. */
  readonly sheen: number;
  readonly lights: readonly WeightedLight[];
  /** CIELAB of the target in each light. */
  readonly targets: readonly ArrayLike<number>[];
  readonly spectral?: SpectralTerm;
  /** Price of one unit of each variable of the depth model, in units of ΔE00; a mild preference among equal matches. */
  readonly prices?: Float64Array;
}

interface Light {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
  readonly weight: number;
  readonly difference: SquaredDifference;
}

const breakpoint = 216 / 24389;
const slope = 24389 / 27 / 116;

/** The f of CIELAB. Source: ISO/CIE 11664-4. */
function labRoot(t: number): number {
  return t > breakpoint ? Math.cbrt(t) : slope * t + 16 / 116;
}

/**
 * What a recipe looks like and how far that is from the target: one objective for each ground,
 * f = Σ weightₗ·(√(ΔE00² + ε²) − ε) over the lights, plus the spectral term, with exact gradients and Hessians.
 *
 * The smoothing ε makes the objective differentiable at a perfect match; with ε = 0 it is the plain sum of differences.
 * Holds its work space: evaluating allocates nothing.
 */
export class ForwardModel {
  readonly setting: ForwardSetting;
  /** Number of grounds, 1 for an opaque film. */
  readonly grounds: number;
  /** Smoothing, in units of ΔE00. */
  smoothing = 0;
  readonly #surface: SurfaceTerms;
  readonly #grounds: readonly Float64Array[];
  readonly #lights: readonly Light[];
  #active: Int32Array;
  readonly #alpha: Float64Array;
  readonly #sigma: Float64Array;
  readonly #film: FilmDerivatives;
  readonly #seen: Float64Array;
  readonly #pull: Float64Array;
  readonly #qa: Float64Array;
  readonly #qs: Float64Array;
  #slopes: Float64Array;
  readonly #square = new Float64Array(8);
  /** Gradient (3) and Hessian (xx, xy, xz, yy, yz, zz) of the objective by relative XYZ, nine numbers for each light. */
  readonly #byXYZ: Float64Array;
  /** Slopes of fx, fy, fz by relative X, Y, Z in the main light. */
  readonly #rootSlopes = new Float64Array(3);
  readonly #M: Float64Array;
  /** Colour change (Lab units, main light, greatest over the grounds) for one unit of each variable. */
  readonly #sensitivity: Float64Array;

  constructor(setting: ForwardSetting) {
    this.setting = setting;
    const { depths, finish, surface, sheen, lights, targets } = setting;
    const { externalReflection: k1, internalReflection: k2 } = surface;
    this.#surface = { added: sheen * k1, through: (1 - k1) * (1 - k2), inner: k2 };
    this.#grounds = finish.kind === "coats" ? finish.grounds : [];
    this.grounds = Math.max(1, this.#grounds.length);
    this.#lights = lights.map(({ weights, weight }, l) => ({
      x: weights.x.map((w) => w / weights.white[0]),
      y: weights.y.map((w) => w / weights.white[1]),
      z: weights.z.map((w) => w / weights.white[2]),
      weight,
      difference: new SquaredDifference(targets[l]),
    }));
    const row = () => new Float64Array(depths.length);
    this.#active = Int32Array.from({ length: depths.variables }, (_, i) => i);
    this.#alpha = row();
    this.#sigma = row();
    this.#film = filmDerivatives(depths.length);
    this.#seen = row();
    this.#pull = row();
    this.#qa = row();
    this.#qs = row();
    this.#slopes = new Float64Array(depths.length * depths.variables);
    this.#byXYZ = new Float64Array(9 * lights.length);
    this.#M = new Float64Array(3 * depths.variables);
    this.#sensitivity = new Float64Array(depths.variables);
  }

  /** Number of variables in use. */
  get size(): number {
    return this.#active.length;
  }

  /** Work with some of the depth model's variables only; the others are zero. */
  use(variables: ArrayLike<number>): void {
    if (this.#active.length !== variables.length) this.#active = new Int32Array(variables.length);
    for (let i = 0; i < variables.length; i++) this.#active[i] = variables[i];
  }

  #depthsAt(x: Float64Array, build = 1): void {
    const { length, baseAlpha, baseSigma, alpha, sigma } = this.setting.depths;
    const outA = this.#alpha;
    const outS = this.#sigma;
    const active = this.#active;
    for (let k = 0; k < length; k++) {
      outA[k] = baseAlpha[k];
      outS[k] = baseSigma[k];
    }
    for (let i = 0; i < active.length; i++) {
      const share = x[i];
      if (share === 0) continue;
      const at = active[i] * length;
      for (let k = 0; k < length; k++) {
        outA[k] += share * alpha[at + k];
        outS[k] += share * sigma[at + k];
      }
    }
    if (build !== 1) {
      for (let k = 0; k < length; k++) {
        outA[k] *= build;
        outS[k] *= build;
      }
    }
  }

  /** Seen reflectance of a recipe over one ground, written to `out`. */
  seenInto(x: Float64Array, ground: number, out: Float64Array): void {
    this.#depthsAt(x);
    this.#look(ground, out);
  }

  /** The film with derivatives, left in #film. */
  #lookCloser(ground: number): void {
    if (this.#grounds.length === 0) {
      opaqueDerivativesInto(this.#alpha, this.#sigma, this.#surface, this.#film);
    } else {
      coatDerivativesInto(this.#alpha, this.#sigma, this.#grounds[ground], this.#surface, this.#film);
    }
  }

  #look(ground: number, out: Float64Array): void {
    if (this.#grounds.length === 0) opaqueSeenInto(this.#alpha, this.#sigma, this.#surface, out);
    else coatSeenInto(this.#alpha, this.#sigma, this.#grounds[ground], this.#surface, out);
  }

  /**
   * CIELAB of a recipe over each ground in each light, written to `out`: three numbers for each, lights innermost.
   * @param build film build as a multiple of the planned one
   */
  labsInto(x: Float64Array, out: Float64Array, build = 1): void {
    this.#depthsAt(x, build);
    let at = 0;
    for (let g = 0; g < this.grounds; g++) {
      this.#look(g, this.#seen);
      for (const light of this.#lights) {
        const [fx, fy, fz] = this.#roots(light);
        out[at++] = 116 * fy - 16;
        out[at++] = 500 * (fx - fy);
        out[at++] = 200 * (fy - fz);
      }
    }
  }

  /**
   * CIELAB as `labsInto`, and its slopes by each variable in use: entry (3·(g·lights + l) + i)·size + variable, i = L*, a*, b*.
   */
  labSlopesInto(x: Float64Array, labs: Float64Array, slopes: Float64Array): void {
    this.labsInto(x, labs);
    const n = this.#active.length;
    const { length } = this.setting.depths;
    let row = 0;
    for (let g = 0; g < this.grounds; g++) {
      this.#lookCloser(g);
      this.#slopesOfSeen();
      for (const light of this.#lights) {
        this.#seen.set(this.#film.value);
        const steep = this.#roots(light).map((root) => (root > 6 / 29 ? 1 / (3 * root * root) : slope));
        for (let i = 0; i < n; i++) {
          const of = this.#slopes.subarray(i * length, (i + 1) * length);
          let X = 0;
          let Y = 0;
          let Z = 0;
          for (let k = 0; k < length; k++) {
            X += light.x[k] * of[k];
            Y += light.y[k] * of[k];
            Z += light.z[k] * of[k];
          }
          X *= steep[0];
          Y *= steep[1];
          Z *= steep[2];
          slopes[row * n + i] = 116 * Y;
          slopes[(row + 1) * n + i] = 500 * (X - Y);
          slopes[(row + 2) * n + i] = 200 * (Y - Z);
        }
        row += 3;
      }
    }
  }

  #roots({ x, y, z }: Light): [number, number, number] {
    const seen = this.#seen;
    let X = 0;
    let Y = 0;
    let Z = 0;
    for (let k = 0; k < seen.length; k++) {
      X += x[k] * seen[k];
      Y += y[k] * seen[k];
      Z += z[k] * seen[k];
    }
    return [labRoot(X), labRoot(Y), labRoot(Z)];
  }

  #priceOf(x: Float64Array): number {
    const { prices } = this.setting;
    if (!prices) return 0;
    let sum = 0;
    for (let i = 0; i < this.#active.length; i++) sum += prices[this.#active[i]] * x[i];
    return sum;
  }

  /** Objective over each ground, written to `f`; returns the greatest. */
  value(x: Float64Array, f: Float64Array): number {
    this.#depthsAt(x);
    const price = this.#priceOf(x);
    const eps = this.smoothing;
    const seen = this.#seen;
    const lights = this.#lights;
    let worst = -Infinity;
    for (let g = 0; g < this.grounds; g++) {
      this.#look(g, seen);
      let sum = price;
      for (let l = 0; l < lights.length; l++) {
        const { x: wx, y: wy, z: wz, weight, difference } = lights[l];
        let X = 0;
        let Y = 0;
        let Z = 0;
        for (let k = 0; k < seen.length; k++) {
          const R = seen[k];
          X += wx[k] * R;
          Y += wy[k] * R;
          Z += wz[k] * R;
        }
        const fx = labRoot(X);
        const fy = labRoot(Y);
        const fz = labRoot(Z);
        const square = difference.value(116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz));
        sum += weight * (Math.sqrt(Math.max(square, 0) + eps * eps) - eps);
      }
      if (this.setting.spectral) {
        const { weight } = this.setting.spectral;
        sum += weight * (Math.sqrt(this.#spectralSquare(seen) + eps * eps) - eps);
      }
      f[g] = sum;
      if (sum > worst) worst = sum;
    }
    return worst;
  }

  /** Mean square difference of seen reflectance, in per cent squared. */
  #spectralSquare(seen: Float64Array): number {
    const { seen: target, wavelengthWeights } = this.setting.spectral!;
    let sum = 0;
    let total = 0;
    for (let k = 0; k < seen.length; k++) {
      const w = wavelengthWeights ? wavelengthWeights[k] : 1;
      const d = 100 * (seen[k] - target[k]);
      sum += w * d * d;
      total += w;
    }
    return total > 0 ? sum / total : 0;
  }

  /**
   * Objective, gradient and Hessian over each ground.
   *
   * @param f one number for each ground   @param gradient row g from g·size
   * @param hessian ground g from g·size², full and symmetric
   * @param shares where given, the Hessian is left out for grounds whose share is not above 0
   * @returns the greatest objective
   */
  derivatives(
    x: Float64Array,
    f: Float64Array,
    gradient: Float64Array,
    hessian: Float64Array,
    shares?: Float64Array,
  ): number {
    this.#depthsAt(x);
    this.#sensitivity.fill(0);
    const { prices } = this.setting;
    const price = this.#priceOf(x);
    const n = this.#active.length;
    let worst = -Infinity;
    for (let g = 0; g < this.grounds; g++) {
      this.#lookCloser(g);
      this.#pull.fill(0);
      f[g] = this.#lightTerms();
      this.#slopesOfSeen();
      if (this.setting.spectral) f[g] += this.#spectralPull();
      this.#bringToVariables(gradient, hessian, g, shares === undefined || shares[g] > 0);
      f[g] += price;
      if (prices) for (let i = 0; i < n; i++) gradient[g * n + i] += prices[this.#active[i]];
      if (f[g] > worst) worst = f[g];
    }
    return worst;
  }

  /** Objective of the lights; leaves its derivatives by XYZ in #byXYZ and adds those by reflectance to #pull. */
  #lightTerms(): number {
    const seen = this.#film.value;
    const pull = this.#pull;
    const by = this.#byXYZ;
    const square = this.#square;
    const eps = this.smoothing;
    let sum = 0;
    for (let l = 0; l < this.#lights.length; l++) {
      const { x: wx, y: wy, z: wz, weight, difference } = this.#lights[l];
      let X = 0;
      let Y = 0;
      let Z = 0;
      for (let k = 0; k < seen.length; k++) {
        const R = seen[k];
        X += wx[k] * R;
        Y += wy[k] * R;
        Z += wz[k] * R;
      }
      const fx = labRoot(X);
      const fy = labRoot(Y);
      const fz = labRoot(Z);
      difference.derivatives(116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz), square);
      const E = Math.sqrt(Math.max(square[0], 0) + eps * eps);
      sum += weight * (E - eps);
      // √(E² + ε²): gradient g/2E, Hessian h/2E − g·gᵀ/4E³.
      const half = E > 0 ? weight / (2 * E) : 0;
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
      const cubeX = X > breakpoint;
      const cubeY = Y > breakpoint;
      const cubeZ = Z > breakpoint;
      const x1 = cubeX ? fx / (3 * X) : slope;
      const y1 = cubeY ? fy / (3 * Y) : slope;
      const z1 = cubeZ ? fz / (3 * Z) : slope;
      const x2 = cubeX ? (-2 * x1) / (3 * X) : 0;
      const y2 = cubeY ? (-2 * y1) / (3 * Y) : 0;
      const z2 = cubeZ ? (-2 * z1) / (3 * Z) : 0;
      if (l === 0) {
        this.#rootSlopes[0] = x1;
        this.#rootSlopes[1] = y1;
        this.#rootSlopes[2] = z1;
      }
      const at = 9 * l;
      const dX = (by[at] = gx * x1);
      const dY = (by[at + 1] = gy * y1);
      const dZ = (by[at + 2] = gz * z1);
      by[at + 3] = xx * x1 * x1 + gx * x2;
      by[at + 4] = xy * x1 * y1;
      by[at + 5] = xz * x1 * z1;
      by[at + 6] = yy * y1 * y1 + gy * y2;
      by[at + 7] = yz * y1 * z1;
      by[at + 8] = zz * z1 * z1 + gz * z2;
      for (let k = 0; k < pull.length; k++) pull[k] += dX * wx[k] + dY * wy[k] + dZ * wz[k];
    }
    return sum;
  }

  /** Slope of the seen reflectance by each variable, row by row. */
  #slopesOfSeen(): void {
    const { length, alpha, sigma } = this.setting.depths;
    const { a, s } = this.#film;
    const active = this.#active;
    const slopes = this.#slopes;
    for (let i = 0; i < active.length; i++) {
      const from = active[i] * length;
      const to = i * length;
      for (let k = 0; k < length; k++) slopes[to + k] = a[k] * alpha[from + k] + s[k] * sigma[from + k];
    }
  }

  /**
   * How far the colour moves in the main light (CIELAB units, the most sensitive ground) for one unit of each variable, at
   * the recipe that `derivatives` saw last. At least 1, so that it can scale steps.
   */
  sensitivitiesInto(out: Float64Array): void {
    for (let i = 0; i < this.#active.length; i++) out[i] = Math.max(1, Math.sqrt(this.#sensitivity[i]));
  }

  // Filled by #spectralPull for #bringToVariables: curvature on the diagonal and weight of the rank-one part.
  #spectralHalf = 0;
  #spectralBend = 0;

  #spectralPull(): number {
    const { seen: target, weight, wavelengthWeights } = this.setting.spectral!;
    const seen = this.#film.value;
    const eps = this.smoothing;
    const E = Math.sqrt(this.#spectralSquare(seen) + eps * eps);
    let total = 0;
    for (let k = 0; k < seen.length; k++) total += wavelengthWeights ? wavelengthWeights[k] : 1;
    this.#spectralHalf = E > 0 && total > 0 ? (weight * 1e4) / (E * total) : 0;
    this.#spectralBend = E > 0 && total > 0 ? (weight * 1e8) / (E * E * E * total * total) : 0;
    for (let k = 0; k < seen.length; k++) {
      const w = wavelengthWeights ? wavelengthWeights[k] : 1;
      this.#pull[k] += this.#spectralHalf * w * (seen[k] - target[k]);
    }
    return weight * (E - eps);
  }

  /** Slopes of relative X, Y, Z by each variable, left in #M. */
  #slopesByXYZ({ x: wx, y: wy, z: wz }: Light): void {
    const { length } = this.setting.depths;
    const slopes = this.#slopes;
    const M = this.#M;
    for (let i = 0; i < this.#active.length; i++) {
      const row = i * length;
      let X = 0;
      let Y = 0;
      let Z = 0;
      for (let k = 0; k < length; k++) {
        const d = slopes[row + k];
        X += wx[k] * d;
        Y += wy[k] * d;
        Z += wz[k] * d;
      }
      M[3 * i] = X;
      M[3 * i + 1] = Y;
      M[3 * i + 2] = Z;
    }
  }

  #noteSensitivity(): void {
    const M = this.#M;
    const [rx, ry, rz] = this.#rootSlopes;
    for (let i = 0; i < this.#active.length; i++) {
      const x = M[3 * i] * rx;
      const y = M[3 * i + 1] * ry;
      const z = M[3 * i + 2] * rz;
      const square = (116 * y) ** 2 + (500 * (x - y)) ** 2 + (200 * (y - z)) ** 2;
      if (square > this.#sensitivity[i]) this.#sensitivity[i] = square;
    }
  }

  #bringToVariables(gradient: Float64Array, hessian: Float64Array, g: number, curved: boolean): void {
    const { length, alpha, sigma } = this.setting.depths;
    const { aa, as, ss, value } = this.#film;
    const active = this.#active;
    const n = active.length;
    const pull = this.#pull;
    const slopes = this.#slopes;
    const qa = this.#qa;
    const qs = this.#qs;
    const M = this.#M;
    const by = this.#byXYZ;
    const spectral = this.setting.spectral;
    const H = g * n * n;
    for (let i = 0; i < n; i++) {
      const row = i * length;
      let sum = 0;
      for (let k = 0; k < length; k++) sum += pull[k] * slopes[row + k];
      gradient[g * n + i] = sum;
    }
    if (!curved) {
      this.#slopesByXYZ(this.#lights[0]);
      this.#noteSensitivity();
      return;
    }
    for (let i = 0; i < n; i++) {
      const from = active[i] * length;
      const row = i * length;
      for (let k = 0; k < length; k++) {
        const p = pull[k];
        const ai = alpha[from + k];
        const si = sigma[from + k];
        qa[k] = p * (aa[k] * ai + as[k] * si);
        qs[k] = p * (as[k] * ai + ss[k] * si);
      }
      if (spectral) {
        for (let k = 0; k < length; k++) {
          const w = spectral.wavelengthWeights ? spectral.wavelengthWeights[k] : 1;
          this.#seen[k] = this.#spectralHalf * w * slopes[row + k];
        }
      }
      for (let j = i; j < n; j++) {
        const other = active[j] * length;
        let sum = 0;
        for (let k = 0; k < length; k++) sum += qa[k] * alpha[other + k] + qs[k] * sigma[other + k];
        if (spectral) for (let k = 0; k < length; k++) sum += this.#seen[k] * slopes[j * length + k];
        hessian[H + i * n + j] = sum;
      }
    }
    for (let l = 0; l < this.#lights.length; l++) {
      this.#slopesByXYZ(this.#lights[l]);
      if (l === 0) this.#noteSensitivity();
      const at = 9 * l;
      const xx = by[at + 3];
      const xy = by[at + 4];
      const xz = by[at + 5];
      const yy = by[at + 6];
      const yz = by[at + 7];
      const zz = by[at + 8];
      for (let i = 0; i < n; i++) {
        const X = M[3 * i];
        const Y = M[3 * i + 1];
        const Z = M[3 * i + 2];
        const u = xx * X + xy * Y + xz * Z;
        const v = xy * X + yy * Y + yz * Z;
        const w = xz * X + yz * Y + zz * Z;
        for (let j = i; j < n; j++) {
          hessian[H + i * n + j] += u * M[3 * j] + v * M[3 * j + 1] + w * M[3 * j + 2];
        }
      }
    }
    if (spectral) {
      // −g·gᵀ/E³ of the root.
      for (let i = 0; i < n; i++) {
        let sum = 0;
        for (let k = 0; k < length; k++) {
          const w = spectral.wavelengthWeights ? spectral.wavelengthWeights[k] : 1;
          sum += w * (value[k] - spectral.seen[k]) * slopes[i * length + k];
        }
        M[i] = sum;
      }
      for (let i = 0; i < n; i++) {
        for (let j = i; j < n; j++) hessian[H + i * n + j] -= this.#spectralBend * M[i] * M[j];
      }
    }
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < i; j++) hessian[H + i * n + j] = hessian[H + j * n + i];
    }
  }
}
