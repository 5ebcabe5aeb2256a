import type { TristimulusWeights } from "../colour/weights.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import {
  coatDerivativesInto,
  coatSeenInto,
  type FilmDerivatives,
  filmDerivatives,
  opaqueDerivativesInto,
  opaqueSeenInto,
  type SurfaceTerms,
} from "./filmDerivatives.ts";
import { LightTerm } from "./lightTerm.ts";
import { SpectralDistance, type SpectralTerm } from "./spectralDistance.ts";

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
  readonly #lights: readonly LightTerm[];
  readonly #spectral: SpectralDistance | undefined;
  #active: Int32Array;
  readonly #alpha: Float64Array;
  readonly #sigma: Float64Array;
  readonly #film: FilmDerivatives;
  readonly #seen: Float64Array;
  /** Slope of the objective by the seen reflectance. */
  readonly #pull: Float64Array;
  readonly #qa: Float64Array;
  readonly #qs: Float64Array;
  /** Slope of the seen reflectance by each variable, row i from i·length. */
  readonly #slopes: Float64Array;
  /** Slopes of relative X, Y, Z by each variable in one light. */
  readonly #byVariable: Float64Array;
  /** Square of the colour change (CIELAB, main light, greatest over the grounds) for one unit of each variable. */
  readonly #sensitivity: Float64Array;

  constructor(setting: ForwardSetting) {
    this.setting = setting;
    const { depths, finish, surface, sheen, lights, targets, spectral } = setting;
    const { externalReflection: k1, internalReflection: k2 } = surface;
    this.#surface = { added: sheen * k1, through: (1 - k1) * (1 - k2), inner: k2 };
    this.#grounds = finish.kind === "coats" ? finish.grounds : [];
    this.grounds = Math.max(1, this.#grounds.length);
    this.#lights = lights.map(({ weights, weight }, l) => new LightTerm(weights, weight, targets[l]));
    this.#spectral = spectral && new SpectralDistance(spectral);
    const { length, variables } = depths;
    const row = () => new Float64Array(length);
    this.#active = Int32Array.from({ length: variables }, (_, i) => i);
    this.#alpha = row();
    this.#sigma = row();
    this.#film = filmDerivatives(length);
    this.#seen = row();
    this.#pull = row();
    this.#qa = row();
    this.#qs = row();
    this.#slopes = new Float64Array(length * variables);
    this.#byVariable = new Float64Array(3 * variables);
    this.#sensitivity = new Float64Array(variables);
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

  /** Seen reflectance of a recipe over one ground, written to `out`. */
  seenInto(x: Float64Array, ground: number, out: Float64Array): void {
    this.#depthsAt(x, 1);
    this.#look(ground, out);
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
      for (let l = 0; l < this.#lights.length; l++) {
        this.#lights[l].labInto(this.#seen, out, at);
        at += 3;
      }
    }
  }

  /**
   * CIELAB as `labsInto`, and its slopes by each variable in use: entry (3·(g·lights + l) + i)·size + variable, i = L*, a*, b*.
   */
  labSlopesInto(x: Float64Array, labs: Float64Array, slopes: Float64Array): void {
    this.#depthsAt(x, 1);
    const n = this.#active.length;
    const by = this.#byVariable;
    let row = 0;
    for (let g = 0; g < this.grounds; g++) {
      this.#lookCloser(g);
      this.#slopesOfSeen();
      for (const light of this.#lights) {
        light.labInto(this.#film.value, labs, row);
        this.#slopesByXYZ(light);
        const [x1, y1, z1] = light.rootSlopes;
        for (let i = 0; i < n; i++) {
          const X = by[3 * i] * x1;
          const Y = by[3 * i + 1] * y1;
          const Z = by[3 * i + 2] * z1;
          slopes[row * n + i] = 116 * Y;
          slopes[(row + 1) * n + i] = 500 * (X - Y);
          slopes[(row + 2) * n + i] = 200 * (Y - Z);
        }
        row += 3;
      }
    }
  }

  /** Objective over each ground, written to `f`; returns the greatest. */
  value(x: Float64Array, f: Float64Array): number {
    this.#depthsAt(x, 1);
    const price = this.#priceOf(x);
    const seen = this.#seen;
    let worst = -Infinity;
    for (let g = 0; g < this.grounds; g++) {
      this.#look(g, seen);
      let sum = price;
      for (let l = 0; l < this.#lights.length; l++) sum += this.#lights[l].value(seen, this.smoothing);
      if (this.#spectral) sum += this.#spectral.value(seen, this.smoothing);
      f[g] = sum;
      if (sum > worst) worst = sum;
    }
    return worst;
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
    this.#depthsAt(x, 1);
    this.#sensitivity.fill(0);
    const { prices } = this.setting;
    const price = this.#priceOf(x);
    const active = this.#active;
    const n = active.length;
    let worst = -Infinity;
    for (let g = 0; g < this.grounds; g++) {
      this.#lookCloser(g);
      this.#pull.fill(0);
      const seen = this.#film.value;
      let sum = price;
      for (let l = 0; l < this.#lights.length; l++) {
        sum += this.#lights[l].derivatives(seen, this.smoothing, this.#pull);
      }
      if (this.#spectral) sum += this.#spectral.derivatives(seen, this.smoothing, this.#pull);
      this.#slopesOfSeen();
      this.#gradientInto(gradient, g * n);
      if (prices) for (let i = 0; i < n; i++) gradient[g * n + i] += prices[active[i]];
      if (shares === undefined || shares[g] > 0) this.#hessianInto(hessian, g * n * n);
      this.#noteSensitivity();
      f[g] = sum;
      if (sum > worst) worst = sum;
    }
    return worst;
  }

  /**
   * How far the colour moves in the main light (CIELAB units, the most sensitive ground) for one unit of each variable, at
   * the recipe that `derivatives` saw last. At least 1, so that it can scale steps.
   */
  sensitivitiesInto(out: Float64Array): void {
    for (let i = 0; i < this.#active.length; i++) out[i] = Math.max(1, Math.sqrt(this.#sensitivity[i]));
  }

  /** Optical depths of a recipe, left in #alpha and #sigma. */
  #depthsAt(x: Float64Array, build: number): void {
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
    if (build === 1) return;
    for (let k = 0; k < length; k++) {
      outA[k] *= build;
      outS[k] *= build;
    }
  }

  #look(ground: number, out: Float64Array): void {
    if (this.#grounds.length === 0) opaqueSeenInto(this.#alpha, this.#sigma, this.#surface, out);
    else coatSeenInto(this.#alpha, this.#sigma, this.#grounds[ground], this.#surface, out);
  }

  /** The film with derivatives, left in #film. */
  #lookCloser(ground: number): void {
    if (this.#grounds.length === 0) {
      opaqueDerivativesInto(this.#alpha, this.#sigma, this.#surface, this.#film);
    } else {
      coatDerivativesInto(this.#alpha, this.#sigma, this.#grounds[ground], this.#surface, this.#film);
    }
  }

  #priceOf(x: Float64Array): number {
    const { prices } = this.setting;
    if (!prices) return 0;
    let sum = 0;
    for (let i = 0; i < this.#active.length; i++) sum += prices[this.#active[i]] * x[i];
    return sum;
  }

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

  /** Slopes of relative X, Y, Z by each variable, left in #byVariable. */
  #slopesByXYZ({ x: wx, y: wy, z: wz }: LightTerm): void {
    const { length } = this.setting.depths;
    const slopes = this.#slopes;
    const by = this.#byVariable;
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
      by[3 * i] = X;
      by[3 * i + 1] = Y;
      by[3 * i + 2] = Z;
    }
  }

  #noteSensitivity(): void {
    if (this.#lights.length === 0) return;
    const [main] = this.#lights;
    this.#slopesByXYZ(main);
    const by = this.#byVariable;
    const x1 = main.rootSlopes[0];
    const y1 = main.rootSlopes[1];
    const z1 = main.rootSlopes[2];
    for (let i = 0; i < this.#active.length; i++) {
      const L = 116 * by[3 * i + 1] * y1;
      const a = 500 * (by[3 * i] * x1 - by[3 * i + 1] * y1);
      const b = 200 * (by[3 * i + 1] * y1 - by[3 * i + 2] * z1);
      const square = L * L + a * a + b * b;
      if (square > this.#sensitivity[i]) this.#sensitivity[i] = square;
    }
  }

  #gradientInto(gradient: Float64Array, at: number): void {
    const { length } = this.setting.depths;
    const pull = this.#pull;
    const slopes = this.#slopes;
    for (let i = 0; i < this.#active.length; i++) {
      const row = i * length;
      let sum = 0;
      for (let k = 0; k < length; k++) sum += pull[k] * slopes[row + k];
      gradient[at + i] = sum;
    }
  }

  #hessianInto(hessian: Float64Array, at: number): void {
    const { length, alpha, sigma } = this.setting.depths;
    const { aa, as, ss } = this.#film;
    const active = this.#active;
    const n = active.length;
    const pull = this.#pull;
    const qa = this.#qa;
    const qs = this.#qs;
    // Curvature of the film, weighted by the pull on its reflectance.
    for (let i = 0; i < n; i++) {
      const from = active[i] * length;
      for (let k = 0; k < length; k++) {
        const p = pull[k];
        const ai = alpha[from + k];
        const si = sigma[from + k];
        qa[k] = p * (aa[k] * ai + as[k] * si);
        qs[k] = p * (as[k] * ai + ss[k] * si);
      }
      for (let j = i; j < n; j++) {
        const other = active[j] * length;
        let sum = 0;
        for (let k = 0; k < length; k++) sum += qa[k] * alpha[other + k] + qs[k] * sigma[other + k];
        hessian[at + i * n + j] = sum;
      }
    }
    // Curvature of the difference by XYZ, along the slopes of XYZ.
    const by = this.#byVariable;
    for (let l = 0; l < this.#lights.length; l++) {
      const light = this.#lights[l];
      this.#slopesByXYZ(light);
      const xx = light.byXYZ[3];
      const xy = light.byXYZ[4];
      const xz = light.byXYZ[5];
      const yy = light.byXYZ[6];
      const yz = light.byXYZ[7];
      const zz = light.byXYZ[8];
      for (let i = 0; i < n; i++) {
        const X = by[3 * i];
        const Y = by[3 * i + 1];
        const Z = by[3 * i + 2];
        const u = xx * X + xy * Y + xz * Z;
        const v = xy * X + yy * Y + yz * Z;
        const w = xz * X + yz * Y + zz * Z;
        for (let j = i; j < n; j++) {
          hessian[at + i * n + j] += u * by[3 * j] + v * by[3 * j + 1] + w * by[3 * j + 2];
        }
      }
    }
    this.#spectral?.addCurvature(this.#slopes, n, hessian, at, by);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < i; j++) hessian[at + i * n + j] = hessian[at + j * n + i];
    }
  }
}
