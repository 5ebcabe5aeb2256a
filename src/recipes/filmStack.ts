import {
  type FilmDerivatives,
  filmDerivatives,
  filmDerivativesInto,
  filmSeenInto,
  noSurface,
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

/**
 * Colour on the grounds, or on a basecoat on them: what is seen of it, with first and second derivatives by the variables of
 * both films, those of the basecoat first. For hot loops: holds its work space, evaluating allocates nothing.
 */
export class FilmStack {
  /** Seen reflectance that `lookCloser` found last, and its slope by each variable in use, row i from i·length. */
  readonly value: Float64Array;
  readonly slopes: Float64Array;
  readonly #colour: DepthModel;
  readonly #basecoat: DepthModel | undefined;
  /** What lies under the lowest film; undefined under an opaque one. */
  readonly #grounds: readonly (Float64Array | undefined)[];
  /** Film build of the colour over each ground as a multiple of the common one; undefined where all get the same. */
  readonly #builds: ArrayLike<number> | undefined;
  readonly #surface: SurfaceTerms;
  /** Variables of the basecoat; those of the colour come after them. */
  readonly #first: number;
  #active: Int32Array;
  /** Rows of all variables, basecoat first. */
  readonly #alphaOf: Float64Array;
  readonly #sigmaOf: Float64Array;
  /** Optical depths now. */
  readonly #depths;
  /** Those of the colour over the ground that is looked at, and how many times the common ones they are. */
  readonly #laid;
  #build = 1;
  /** Slopes of the pulled derivatives along one variable by the depths of both films. */
  readonly #bends;
  readonly #under: FilmDerivatives;
  readonly #film: FilmDerivatives;

  constructor(
    colour: DepthModel,
    basecoat: DepthModel | undefined,
    grounds: readonly (Float64Array | undefined)[],
    surface: SurfaceTerms,
    builds?: ArrayLike<number>,
  ) {
    this.#builds = builds;
    this.#colour = colour;
    this.#basecoat = basecoat;
    this.#grounds = grounds;
    this.#surface = surface;
    this.#first = basecoat?.variables ?? 0;
    const variables = this.#first + colour.variables;
    this.#active = Int32Array.from({ length: variables }, (_, i) => i);
    this.#alphaOf = basecoat ? Float64Array.from([...basecoat.alpha, ...colour.alpha]) : colour.alpha;
    this.#sigmaOf = basecoat ? Float64Array.from([...basecoat.sigma, ...colour.sigma]) : colour.sigma;
    const { length } = colour;
    const row = () => new Float64Array(length);
    this.#depths = { underAlpha: row(), underSigma: row(), alpha: row(), sigma: row() };
    this.#laid = builds ? { alpha: row(), sigma: row() } : this.#depths;
    this.#bends = { underAlpha: row(), underSigma: row(), alpha: row(), sigma: row() };
    this.#under = filmDerivatives(length);
    this.#film = filmDerivatives(length, basecoat !== undefined);
    this.value = this.#film.value;
    this.slopes = new Float64Array(length * variables);
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

  /**
   * Take up a recipe.
   * @param build film build of the colour as a multiple of the planned one
   */
  lay(x: Float64Array, build = 1): void {
    const colour = this.#colour;
    const basecoat = this.#basecoat;
    const { underAlpha, underSigma, alpha, sigma } = this.#depths;
    alpha.set(colour.baseAlpha);
    sigma.set(colour.baseSigma);
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

  /** Seen reflectance over a ground. */
  look(ground: number, out: Float64Array): void {
    const { underAlpha, underSigma } = this.#depths;
    const { alpha, sigma } = this.#laidOver(ground);
    let under = this.#grounds[ground];
    if (this.#basecoat) {
      filmSeenInto(underAlpha, underSigma, under, noSurface, this.#under.value);
      under = this.#under.value;
    }
    filmSeenInto(alpha, sigma, under, this.#surface, out);
  }

  /** The same with derivatives, left in `value` and `slopes` and ready for `curvatureInto`. */
  lookCloser(ground: number): void {
    const { underAlpha, underSigma } = this.#depths;
    const { alpha, sigma } = this.#laidOver(ground);
    let under = this.#grounds[ground];
    if (this.#basecoat) {
      filmDerivativesInto(underAlpha, underSigma, under, noSurface, this.#under);
      under = this.#under.value;
    }
    filmDerivativesInto(alpha, sigma, under, this.#surface, this.#film);
    const { a, s, byGround } = this.#film;
    const { a: ua, s: us } = this.#under;
    const alphaOf = this.#alphaOf;
    const sigmaOf = this.#sigmaOf;
    const { slopes } = this;
    const build = this.#build;
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
          slopes[to + k] = build * (a[k] * alphaOf[from + k] + s[k] * sigmaOf[from + k]);
        }
      }
    }
  }

  /** Gradient of what pulls at the seen reflectance so and so much. */
  gradientInto(pull: Float64Array, gradient: Float64Array, at: number): void {
    const { slopes } = this;
    const { length } = pull;
    for (let i = 0; i < this.#active.length; i++) {
      const row = i * length;
      let sum = 0;
      for (let k = 0; k < length; k++) sum += pull[k] * slopes[row + k];
      gradient[at + i] = sum;
    }
  }

  /** Curvature of the films under such a pull, written to the upper half of a Hessian. */
  curvatureInto(pull: Float64Array, hessian: Float64Array, at: number): void {
    const active = this.#active;
    const n = active.length;
    const alphaOf = this.#alphaOf;
    const sigmaOf = this.#sigmaOf;
    const { length } = pull;
    for (let i = 0; i < n; i++) {
      if (active[i] < this.#first) this.#bendAlongBasecoat(active[i], pull);
      else this.#bendAlongColour(active[i], pull);
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
  }

  /** Depths of the colour over a ground: the common ones, times the build there. */
  #laidOver(ground: number) {
    if (!this.#builds) return this.#depths;
    const build = this.#builds[ground];
    const { alpha, sigma } = this.#depths;
    for (let k = 0; k < alpha.length; k++) {
      this.#laid.alpha[k] = build * alpha[k];
      this.#laid.sigma[k] = build * sigma[k];
    }
    this.#build = build;
    return this.#laid;
  }

  #bendAlongColour(variable: number, pull: Float64Array): void {
    const { aa, as, ss } = this.#film;
    // Once for this variable, once for the one that the bend is taken along next.
    const square = this.#build * this.#build;
    const { alpha: qa, sigma: qs } = this.#bends;
    const row = variable * pull.length;
    for (let k = 0; k < pull.length; k++) {
      const a = this.#alphaOf[row + k];
      const s = this.#sigmaOf[row + k];
      const pulled = square * pull[k];
      qa[k] = pulled * (aa[k] * a + as[k] * s);
      qs[k] = pulled * (as[k] * a + ss[k] * s);
    }
  }

  #bendAlongBasecoat(variable: number, pull: Float64Array): void {
    const { a: ua, s: us, aa, as, ss } = this.#under;
    const { g, gg, ag, sg } = this.#film.byGround!;
    const { underAlpha, underSigma, alpha, sigma } = this.#bends;
    const build = this.#build;
    const row = variable * pull.length;
    for (let k = 0; k < pull.length; k++) {
      const a = this.#alphaOf[row + k];
      const s = this.#sigmaOf[row + k];
      const slope = ua[k] * a + us[k] * s;
      const bent = pull[k] * gg[k] * slope;
      const straight = pull[k] * g[k];
      underAlpha[k] = bent * ua[k] + straight * (aa[k] * a + as[k] * s);
      underSigma[k] = bent * us[k] + straight * (as[k] * a + ss[k] * s);
      alpha[k] = build * pull[k] * ag[k] * slope;
      sigma[k] = build * pull[k] * sg[k] * slope;
    }
  }
}
