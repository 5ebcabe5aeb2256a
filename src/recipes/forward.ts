import type { TristimulusWeights } from "../colour/weights.ts";
import type { MinimaxProblem } from "../fit/trustRegion.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import { surfaceTerms } from "./filmDerivatives.ts";
import { type DepthModel, FilmStack } from "./filmStack.ts";
import type { Finish } from "./finish.ts";
import { LightTerm } from "./lightTerm.ts";
import { SpectralDistance, type SpectralTerm } from "./spectralDistance.ts";

/** A light to match in, and how much its difference counts. */
export interface WeightedLight {
  readonly weights: TristimulusWeights;
  readonly weight: number;
}

export interface ForwardSetting {
  readonly depths: DepthModel;
  /** A film of its own between the grounds and the colour; its variables come before the colour's. */
  readonly basecoat?: DepthModel;
  readonly finish: Finish;
  readonly surface: SurfaceConstants;
  /** Share of the surface reflection that reaches the eye, 0…1. */
  readonly sheen: number;
  /** The main light first. */
  readonly lights: readonly WeightedLight[];
  /** CIELAB of the target in each light. */
  readonly targets: readonly ArrayLike<number>[];
  readonly spectral?: SpectralTerm;
  /** Every light is an objective by itself, instead of a part of the sum over all of them. */
  readonly lightsApart?: boolean;
}

/**
 * What a recipe looks like and how far that is from the target: one objective for each ground,
 * f = Σ weightₗ·(√(ΔE00² + ε²) − ε) over the lights, plus the spectral term, with exact gradients and Hessians; or, where
 * lights count apart, one for each ground in each light, lights innermost.
 *
 * The smoothing ε makes the objective differentiable at a perfect match; with ε = 0 it is the plain sum of differences.
 * Holds its work space: evaluating allocates nothing.
 */
export class ForwardModel implements MinimaxProblem {
  readonly setting: ForwardSetting;
  /** Number of grounds, 1 for an opaque film. */
  readonly grounds: number;
  readonly objectives: number;
  /** Smoothing of `derivatives`, in units of ΔE00. */
  smoothing = 0;
  readonly #films: FilmStack;
  readonly #lights: readonly LightTerm[];
  /** Lights in one objective. */
  readonly #together: number;
  readonly #spectral: SpectralDistance | undefined;
  readonly #seen: Float64Array;
  /** Slope of the objective by the seen reflectance. */
  readonly #pull: Float64Array;
  /** Slopes of relative X, Y, Z by each variable, three numbers each, one array for each light. */
  readonly #byVariable: readonly Float64Array[];
  readonly #along: Float64Array;
  readonly #f: Float64Array;
  /** Square of the colour change (CIELAB, main light, greatest over the grounds) for one unit of each variable. */
  readonly #sensitivity: Float64Array;

  constructor(setting: ForwardSetting) {
    this.setting = setting;
    const { depths, basecoat, finish, surface, sheen, lights, targets, spectral, lightsApart } = setting;
    const grounds = finish.kind === "coats" && finish.grounds.length > 0 ? finish.grounds : [undefined];
    const builds = finish.kind === "coats" ? finish.builds : undefined;
    this.grounds = grounds.length;
    this.#films = new FilmStack(depths, basecoat, grounds, surfaceTerms(surface, sheen), builds);
    this.#together = lightsApart ? 1 : lights.length;
    this.objectives = this.grounds * (lightsApart ? lights.length : 1);
    this.#lights = lights.map(({ weights, weight }, l) => new LightTerm(weights, weight, targets[l]));
    this.#spectral = spectral && new SpectralDistance(spectral);
    const variables = this.#films.size;
    this.#seen = new Float64Array(depths.length);
    this.#pull = new Float64Array(depths.length);
    this.#byVariable = lights.map(() => new Float64Array(3 * variables));
    this.#along = new Float64Array(variables);
    this.#f = new Float64Array(this.objectives);
    this.#sensitivity = new Float64Array(variables);
  }

  /** Number of variables in use. */
  get size(): number {
    return this.#films.size;
  }

  /** Work with some of the variables only; the others are zero. Those of the basecoat come first. */
  use(variables: ArrayLike<number>): void {
    this.#films.use(variables);
  }

  /** Seen reflectance of a recipe over one ground, written to `out`. */
  seenInto(x: Float64Array, ground: number, out: Float64Array): void {
    this.#films.lay(x);
    this.#films.look(ground, out);
  }

  /** Seen reflectance as `seenInto`, and its slopes by each variable in use, row by row. */
  seenSlopesInto(x: Float64Array, ground: number, out: Float64Array, slopes: Float64Array): void {
    this.#films.lay(x);
    this.#films.lookCloser(ground);
    out.set(this.#films.value);
    slopes.set(this.#films.slopes.subarray(0, slopes.length));
  }

  /**
   * CIELAB of a recipe over each ground in each light, written to `out`: three numbers for each, lights innermost.
   * @param build film build of the colour as a multiple of the planned one
   */
  labsInto(x: Float64Array, out: Float64Array, build = 1): void {
    this.#films.lay(x, build);
    let at = 0;
    for (let g = 0; g < this.grounds; g++) {
      this.#films.look(g, this.#seen);
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
    this.#films.lay(x);
    const n = this.size;
    let row = 0;
    for (let g = 0; g < this.grounds; g++) {
      this.#films.lookCloser(g);
      for (let l = 0; l < this.#lights.length; l++) {
        this.#lights[l].labInto(this.#films.value, labs, row);
        this.#slopesByXYZ(l);
        const by = this.#byVariable[l];
        const [x1, y1, z1] = this.#lights[l].rootSlopes;
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

  /** ΔE00 over each ground in each light, lights innermost, written to `out`. */
  differencesInto(x: Float64Array, out: Float64Array): void {
    this.#films.lay(x);
    let at = 0;
    for (let g = 0; g < this.grounds; g++) {
      this.#films.look(g, this.#seen);
      for (let l = 0; l < this.#lights.length; l++) out[at++] = this.#lights[l].difference(this.#seen);
    }
  }

  /** Every objective, written to `f`; returns the greatest. */
  value(x: Float64Array, f: Float64Array = this.#f, smoothing = 0): number {
    this.#films.lay(x);
    const seen = this.#seen;
    let worst = -Infinity;
    for (let o = 0; o < this.objectives; o++) {
      const from = this.#lightsFrom(o);
      if (from === 0) this.#films.look(this.#groundOf(o), seen);
      let sum = this.#spectral ? this.#spectral.value(seen, smoothing) : 0;
      for (let l = from; l < from + this.#together; l++) sum += this.#lights[l].value(seen, smoothing);
      f[o] = sum;
      if (sum > worst) worst = sum;
    }
    return worst;
  }

  /**
   * Every objective with its gradient and Hessian.
   *
   * @param f one number for each objective   @param gradient row o from o·size
   * @param hessian objective o from o·size², full and symmetric
   * @param shares where given, the Hessian is left out for objectives whose share is not above 0
   * @returns the greatest objective
   */
  derivatives(
    x: Float64Array,
    f: Float64Array,
    gradient: Float64Array,
    hessian: Float64Array,
    shares?: Float64Array,
  ): number {
    this.#films.lay(x);
    this.#sensitivity.fill(0);
    const { smoothing } = this;
    const seen = this.#films.value;
    const pull = this.#pull;
    const n = this.size;
    let worst = -Infinity;
    for (let o = 0; o < this.objectives; o++) {
      const from = this.#lightsFrom(o);
      const bends = shares === undefined || shares[o] > 0;
      if (from === 0) this.#films.lookCloser(this.#groundOf(o));
      pull.fill(0);
      let sum = 0;
      for (let l = from; l < from + this.#together; l++) {
        sum += this.#lights[l].derivatives(seen, smoothing, pull);
        if (l === 0 || bends) this.#slopesByXYZ(l);
        if (l === 0) this.#noteSensitivity();
      }
      if (this.#spectral) sum += this.#spectral.derivatives(seen, smoothing, pull);
      this.#films.gradientInto(pull, gradient, o * n);
      if (bends) this.#hessianInto(hessian, o * n * n, from);
      f[o] = sum;
      if (sum > worst) worst = sum;
    }
    return worst;
  }

  /**
   * How far the colour moves in the main light (CIELAB units, the most sensitive ground) for one unit of each variable, at
   * the recipe that `derivatives` saw last. At least 1, so that it can scale steps.
   */
  scalesInto(out: Float64Array): void {
    for (let i = 0; i < this.size; i++) out[i] = Math.max(1, Math.sqrt(this.#sensitivity[i]));
  }

  /** Ground and first light of an objective. */
  #groundOf(objective: number): number {
    return this.setting.lightsApart ? Math.floor(objective / this.#lights.length) : objective;
  }

  #lightsFrom(objective: number): number {
    return this.setting.lightsApart ? objective % this.#lights.length : 0;
  }

  /** Slopes of relative X, Y, Z in a light by each variable, left in #byVariable. */
  #slopesByXYZ(light: number): void {
    const { x: wx, y: wy, z: wz } = this.#lights[light];
    const { slopes } = this.#films;
    const by = this.#byVariable[light];
    const { length } = wx;
    for (let i = 0; i < this.size; i++) {
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
    const by = this.#byVariable[0];
    const { rootSlopes } = this.#lights[0];
    for (let i = 0; i < this.size; i++) {
      const fx = by[3 * i] * rootSlopes[0];
      const fy = by[3 * i + 1] * rootSlopes[1];
      const fz = by[3 * i + 2] * rootSlopes[2];
      const square = (116 * fy) ** 2 + (500 * (fx - fy)) ** 2 + (200 * (fy - fz)) ** 2;
      if (square > this.#sensitivity[i]) this.#sensitivity[i] = square;
    }
  }

  #hessianInto(hessian: Float64Array, at: number, lightsFrom: number): void {
    const n = this.size;
    this.#films.curvatureInto(this.#pull, hessian, at);
    // Curvature of the difference by XYZ, along the slopes of XYZ.
    for (let l = lightsFrom; l < lightsFrom + this.#together; l++) {
      const by = this.#byVariable[l];
      const { byXYZ } = this.#lights[l];
      const xx = byXYZ[3];
      const xy = byXYZ[4];
      const xz = byXYZ[5];
      const yy = byXYZ[6];
      const yz = byXYZ[7];
      const zz = byXYZ[8];
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
    this.#spectral?.addCurvature(this.#films.slopes, n, hessian, at, this.#along);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < i; j++) hessian[at + i * n + j] = hessian[at + j * n + i];
    }
  }
}
