import type { TristimulusWeights } from "../colour/weights.ts";
import type { MinimaxProblem } from "../fit/trustRegion.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import {
  type FilmDerivatives,
  filmDerivatives,
  filmDerivativesInto,
  filmSeenInto,
  noSurface,
  type SurfaceTerms,
  surfaceTerms,
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
  readonly #surface: SurfaceTerms;
  /** What lies under the lowest film; undefined under an opaque one. */
  readonly #grounds: readonly (Float64Array | undefined)[];
  readonly #lights: readonly LightTerm[];
  /** Lights in one objective. */
  readonly #together: number;
  readonly #spectral: SpectralDistance | undefined;
  /** Variables of the basecoat; those of the colour come after them. */
  readonly #first: number;
  #active: Int32Array;
  /** Rows of all variables, basecoat first. */
  readonly #alphaOf: Float64Array;
  readonly #sigmaOf: Float64Array;
  /** Optical depths now: basecoat, then colour. */
  readonly #depths;
  readonly #under: FilmDerivatives;
  readonly #film: FilmDerivatives;
  readonly #seen: Float64Array;
  /** Slope of the objective by the seen reflectance. */
  readonly #pull: Float64Array;
  /** Slopes of the pulled derivatives along one variable by the depths of basecoat and colour. */
  readonly #bends;
  /** Slope of the seen reflectance by each variable, row i from i·length. */
  readonly #slopes: Float64Array;
  /** Slopes of relative X, Y, Z by each variable, three numbers each, one array for each light. */
  readonly #byVariable: readonly Float64Array[];
  readonly #along: Float64Array;
  readonly #f: Float64Array;
  /** Square of the colour change (CIELAB, main light, greatest over the grounds) for one unit of each variable. */
  readonly #sensitivity: Float64Array;

  constructor(setting: ForwardSetting) {
    this.setting = setting;
    const { depths, basecoat, finish, surface, sheen, lights, targets, spectral, lightsApart } = setting;
    this.#surface = surfaceTerms(surface, sheen);
    this.#grounds = finish.kind === "coats" && finish.grounds.length > 0 ? finish.grounds : [undefined];
    this.grounds = this.#grounds.length;
    this.#together = lightsApart ? 1 : lights.length;
    this.objectives = this.grounds * (lightsApart ? lights.length : 1);
    this.#lights = lights.map(({ weights, weight }, l) => new LightTerm(weights, weight, targets[l]));
    this.#spectral = spectral && new SpectralDistance(spectral);
    const { length } = depths;
    this.#first = basecoat?.variables ?? 0;
    const variables = this.#first + depths.variables;
    this.#active = Int32Array.from({ length: variables }, (_, i) => i);
    this.#alphaOf = basecoat ? Float64Array.from([...basecoat.alpha, ...depths.alpha]) : depths.alpha;
    this.#sigmaOf = basecoat ? Float64Array.from([...basecoat.sigma, ...depths.sigma]) : depths.sigma;
    const row = () => new Float64Array(length);
    this.#depths = { underAlpha: row(), underSigma: row(), alpha: row(), sigma: row() };
    this.#bends = { underAlpha: row(), underSigma: row(), alpha: row(), sigma: row() };
    this.#under = filmDerivatives(length);
    this.#film = filmDerivatives(length, basecoat !== undefined);
    this.#seen = row();
    this.#pull = row();
    this.#slopes = new Float64Array(length * variables);
    this.#byVariable = lights.map(() => new Float64Array(3 * variables));
    this.#along = new Float64Array(variables);
    this.#f = new Float64Array(this.objectives);
    this.#sensitivity = new Float64Array(variables);
  }

  /** Number of variables in use. */
  get size(): number {
    return this.#active.length;
  }

  /** Work with some of the variables only; the others are zero. Those of the basecoat come first. */
  use(variables: ArrayLike<number>): void {
    if (this.#active.length !== variables.length) this.#active = new Int32Array(variables.length);
    for (let i = 0; i < variables.length; i++) this.#active[i] = variables[i];
  }

  /** Seen reflectance of a recipe over one ground, written to `out`. */
  seenInto(x: Float64Array, ground: number, out: Float64Array): void {
    this.#lay(x);
    this.#look(ground, out);
  }

  /** Seen reflectance as `seenInto`, and its slopes by each variable in use, row by row. */
  seenSlopesInto(x: Float64Array, ground: number, out: Float64Array, slopes: Float64Array): void {
    this.#lay(x);
    this.#lookCloser(ground);
    out.set(this.#film.value);
    slopes.set(this.#slopes.subarray(0, slopes.length));
  }

  /**
   * CIELAB of a recipe over each ground in each light, written to `out`: three numbers for each, lights innermost.
   * @param build film build of the colour as a multiple of the planned one
   */
  labsInto(x: Float64Array, out: Float64Array, build = 1): void {
    this.#lay(x, build);
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
    this.#lay(x);
    const n = this.#active.length;
    let row = 0;
    for (let g = 0; g < this.grounds; g++) {
      this.#lookCloser(g);
      for (let l = 0; l < this.#lights.length; l++) {
        this.#lights[l].labInto(this.#film.value, labs, row);
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
    this.#lay(x);
    let at = 0;
    for (let g = 0; g < this.grounds; g++) {
      this.#look(g, this.#seen);
      for (let l = 0; l < this.#lights.length; l++) out[at++] = this.#lights[l].difference(this.#seen);
    }
  }

  /** Every objective, written to `f`; returns the greatest. */
  value(x: Float64Array, f: Float64Array = this.#f, smoothing = 0): number {
    this.#lay(x);
    const seen = this.#seen;
    let worst = -Infinity;
    for (let o = 0; o < this.objectives; o++) {
      const from = this.#lightsFrom(o);
      if (from === 0) this.#look(this.#groundOf(o), seen);
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
    this.#lay(x);
    this.#sensitivity.fill(0);
    const { smoothing } = this;
    const seen = this.#film.value;
    const pull = this.#pull;
    const n = this.#active.length;
    let worst = -Infinity;
    for (let o = 0; o < this.objectives; o++) {
      const from = this.#lightsFrom(o);
      const bends = shares === undefined || shares[o] > 0;
      if (from === 0) this.#lookCloser(this.#groundOf(o));
      pull.fill(0);
      let sum = 0;
      for (let l = from; l < from + this.#together; l++) {
        sum += this.#lights[l].derivatives(seen, smoothing, pull);
        if (l === 0 || bends) this.#slopesByXYZ(l);
        if (l === 0) this.#noteSensitivity();
      }
      if (this.#spectral) sum += this.#spectral.derivatives(seen, smoothing, pull);
      this.#gradientInto(gradient, o * n);
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
    for (let i = 0; i < this.#active.length; i++) out[i] = Math.max(1, Math.sqrt(this.#sensitivity[i]));
  }

  /** Ground and first light of an objective. */
  #groundOf(objective: number): number {
    return this.setting.lightsApart ? Math.floor(objective / this.#lights.length) : objective;
  }

  #lightsFrom(objective: number): number {
    return this.setting.lightsApart ? objective % this.#lights.length : 0;
  }

  /** Optical depths of a recipe, left in #depths. */
  #lay(x: Float64Array, build = 1): void {
    const { depths, basecoat } = this.setting;
    const { underAlpha, underSigma, alpha, sigma } = this.#depths;
    alpha.set(depths.baseAlpha);
    sigma.set(depths.baseSigma);
    if (basecoat) {
      underAlpha.set(basecoat.baseAlpha);
      underSigma.set(basecoat.baseSigma);
    }
    const { length } = alpha;
    for (let i = 0; i < this.#active.length; i++) {
      const share = x[i];
      if (share === 0) continue;
      const row = this.#active[i] * length;
      const under = this.#active[i] < this.#first;
      const outA = under ? underAlpha : alpha;
      const outS = under ? underSigma : sigma;
      for (let k = 0; k < length; k++) {
        outA[k] += share * this.#alphaOf[row + k];
        outS[k] += share * this.#sigmaOf[row + k];
      }
    }
    if (build === 1) return;
    for (let k = 0; k < length; k++) {
      alpha[k] *= build;
      sigma[k] *= build;
    }
  }

  #look(ground: number, out: Float64Array): void {
    const { underAlpha, underSigma, alpha, sigma } = this.#depths;
    let under = this.#grounds[ground];
    if (this.setting.basecoat) {
      filmSeenInto(underAlpha, underSigma, under, noSurface, this.#under.value);
      under = this.#under.value;
    }
    filmSeenInto(alpha, sigma, under, this.#surface, out);
  }

  /** The films with derivatives, left in #under and #film, and the slopes of what is seen. */
  #lookCloser(ground: number): void {
    const { underAlpha, underSigma, alpha, sigma } = this.#depths;
    let under = this.#grounds[ground];
    if (this.setting.basecoat) {
      filmDerivativesInto(underAlpha, underSigma, under, noSurface, this.#under);
      under = this.#under.value;
    }
    filmDerivativesInto(alpha, sigma, under, this.#surface, this.#film);
    const { a, s, byGround } = this.#film;
    const { a: ua, s: us } = this.#under;
    const alphaOf = this.#alphaOf;
    const sigmaOf = this.#sigmaOf;
    const slopes = this.#slopes;
    const { length } = a;
    for (let i = 0; i < this.#active.length; i++) {
      const from = this.#active[i] * length;
      const to = i * length;
      if (byGround && this.#active[i] < this.#first) {
        const { g } = byGround;
        for (let k = 0; k < length; k++) {
          slopes[to + k] = g[k] * (ua[k] * alphaOf[from + k] + us[k] * sigmaOf[from + k]);
        }
      } else {
        for (let k = 0; k < length; k++) {
          slopes[to + k] = a[k] * alphaOf[from + k] + s[k] * sigmaOf[from + k];
        }
      }
    }
  }

  /** Slopes of relative X, Y, Z in a light by each variable, left in #byVariable. */
  #slopesByXYZ(light: number): void {
    const { x: wx, y: wy, z: wz } = this.#lights[light];
    const slopes = this.#slopes;
    const by = this.#byVariable[light];
    const { length } = wx;
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
    const by = this.#byVariable[0];
    const { rootSlopes } = this.#lights[0];
    for (let i = 0; i < this.#active.length; i++) {
      const fx = by[3 * i] * rootSlopes[0];
      const fy = by[3 * i + 1] * rootSlopes[1];
      const fz = by[3 * i + 2] * rootSlopes[2];
      const square = (116 * fy) ** 2 + (500 * (fx - fy)) ** 2 + (200 * (fy - fz)) ** 2;
      if (square > this.#sensitivity[i]) this.#sensitivity[i] = square;
    }
  }

  #gradientInto(gradient: Float64Array, at: number): void {
    const pull = this.#pull;
    const slopes = this.#slopes;
    const { length } = pull;
    for (let i = 0; i < this.#active.length; i++) {
      const row = i * length;
      let sum = 0;
      for (let k = 0; k < length; k++) sum += pull[k] * slopes[row + k];
      gradient[at + i] = sum;
    }
  }

  #hessianInto(hessian: Float64Array, at: number, lightsFrom: number): void {
    const active = this.#active;
    const n = active.length;
    const alphaOf = this.#alphaOf;
    const sigmaOf = this.#sigmaOf;
    const { length } = this.#pull;
    // Curvature of the films, weighted by the pull on what is seen.
    for (let i = 0; i < n; i++) {
      if (active[i] < this.#first) this.#bendAlongBasecoat(active[i]);
      else this.#bendAlongColour(active[i]);
      for (let j = i; j < n; j++) {
        const under = active[j] < this.#first;
        const qa = under ? this.#bends.underAlpha : this.#bends.alpha;
        const qs = under ? this.#bends.underSigma : this.#bends.sigma;
        const row = active[j] * length;
        let sum = 0;
        for (let k = 0; k < length; k++) sum += qa[k] * alphaOf[row + k] + qs[k] * sigmaOf[row + k];
        hessian[at + i * n + j] = sum;
      }
    }
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
    this.#spectral?.addCurvature(this.#slopes, n, hessian, at, this.#along);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < i; j++) hessian[at + i * n + j] = hessian[at + j * n + i];
    }
  }

  #bendAlongColour(variable: number): void {
    const { aa, as, ss } = this.#film;
    const { alpha: qa, sigma: qs } = this.#bends;
    const pull = this.#pull;
    const row = variable * pull.length;
    for (let k = 0; k < pull.length; k++) {
      const a = this.#alphaOf[row + k];
      const s = this.#sigmaOf[row + k];
      qa[k] = pull[k] * (aa[k] * a + as[k] * s);
      qs[k] = pull[k] * (as[k] * a + ss[k] * s);
    }
  }

  #bendAlongBasecoat(variable: number): void {
    const { a: ua, s: us, aa, as, ss } = this.#under;
    const { g, gg, ag, sg } = this.#film.byGround!;
    const { underAlpha, underSigma, alpha, sigma } = this.#bends;
    const pull = this.#pull;
    const row = variable * pull.length;
    for (let k = 0; k < pull.length; k++) {
      const a = this.#alphaOf[row + k];
      const s = this.#sigmaOf[row + k];
      const slope = ua[k] * a + us[k] * s;
      const bent = pull[k] * gg[k] * slope;
      const straight = pull[k] * g[k];
      underAlpha[k] = bent * ua[k] + straight * (aa[k] * a + as[k] * s);
      underSigma[k] = bent * us[k] + straight * (as[k] * a + ss[k] * s);
      alpha[k] = pull[k] * ag[k] * slope;
      sigma[k] = pull[k] * sg[k] * slope;
    }
  }
}
