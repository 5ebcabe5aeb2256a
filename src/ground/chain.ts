import { blendShares } from "../coating/blend.ts";
import { type Difference, differenceOf } from "../colour/difference.ts";
import { checkJob, type GroundJob, type GroundPoint, wetOfCoats } from "./job.ts";
import { Look } from "./look.ts";
import {
  blendWetInto,
  createFractions,
  createWetFilm,
  type FilmFraction,
  fractionInto,
  loadedInto,
  type SplitRecipe,
  splitRecipe,
  type WetFilm,
  wetFilmOf,
} from "./wetFilm.ts";

/**
 * The whole chain of a job, blend → films → coats → surface → colour → difference, at any point. What a step
 * does not change is kept from the last one. One evaluation allocates nothing but the point itself.
 */
export class GroundChain {
  readonly job: GroundJob;
  readonly #paints: readonly WetFilm[];
  readonly #recipe: SplitRecipe;
  readonly #difference: Difference;
  readonly #look: Look;
  readonly #blend: WetFilm;
  readonly #colour: WetFilm;
  readonly #base: FilmFraction;
  readonly #coat: FilmFraction;
  readonly #shares = new Float64Array(3);
  /** Loading of the colour laid out in #colour; loading and wet thickness of the film laid out in #coat. */
  #loading = Number.NaN;
  #coatLoading = Number.NaN;
  #coatWet = Number.NaN;
  /** Difference of each part at the last point. */
  readonly differences: Float64Array;
  /** CIELAB of each part at the last point, three numbers each. */
  readonly labs: Float64Array;
  /** Tristimulus values of each part at the last point, three numbers each. */
  readonly XYZs: Float64Array;
  /** Part with the greatest difference at the last point. */
  worstPart = 0;

  /** @throws RangeError, TypeError for a job that cannot be computed */
  constructor(job: GroundJob) {
    checkJob(job);
    this.job = job;
    const { length } = job.eye.weights.x;
    this.#paints = job.paints.map(wetFilmOf);
    this.#recipe = splitRecipe(job.recipe.components, job.recipe.volumes);
    this.#difference = differenceOf(job.formula);
    this.#look = new Look(job.eye);
    this.#blend = createWetFilm(length);
    this.#colour = createWetFilm(length);
    [this.#base, this.#coat] = createFractions(2, length);
    this.differences = new Float64Array(job.substrates.length);
    this.labs = new Float64Array(3 * job.substrates.length);
    this.XYZs = new Float64Array(3 * job.substrates.length);
  }

  /** Basecoat of a point as a film fraction, written to `out`. */
  baseInto({ ratio, thirdShare, basecoatBuild }: GroundPoint, out: FilmFraction): void {
    const shares = this.#shares;
    const paints = this.#paints.length;
    const rest = paints > 2 ? 1 - thirdShare : 1;
    shares[0] = paints > 1 ? rest * (1 - ratio) : 1;
    shares[1] = rest * ratio;
    shares[2] = thirdShare;
    blendWetInto(this.#paints, shares, this.#blend);
    fractionInto(this.#blend, basecoatBuild * this.job.basecoatWet, out);
  }

  /** Colour coats of a point as a film fraction, written to `out`. */
  colourInto({ coats, loading, colourBuild }: GroundPoint, out: FilmFraction): void {
    const share = loading ?? this.#recipe.loading;
    if (share !== this.#loading) {
      loadedInto(this.#recipe, share, this.#colour);
      this.#loading = share;
    }
    fractionInto(this.#colour, colourBuild * wetOfCoats(this.job.coatWets, coats), out);
  }

  /** Greatest difference over the parts; the parts' own are left in the fields. */
  at(point: GroundPoint): number {
    this.baseInto(point, this.#base);
    const wet = point.colourBuild * wetOfCoats(this.job.coatWets, point.coats);
    const loading = point.loading ?? this.#recipe.loading;
    if (wet !== this.#coatWet || loading !== this.#coatLoading) {
      this.colourInto(point, this.#coat);
      this.#coatWet = wet;
      this.#coatLoading = loading;
    }
    return this.compare(this.#coat, this.#base);
  }

  /** As `at`, for films made before. */
  compare(colour: FilmFraction, base: FilmFraction): number {
    const { substrates, target } = this.job;
    let worst = -1;
    for (let part = 0; part < substrates.length; part++) {
      const Lab = this.#look.through(colour, base, substrates[part]);
      const d = this.#difference(target, Lab);
      this.differences[part] = d;
      for (let c = 0; c < 3; c++) {
        this.labs[3 * part + c] = Lab[c];
        this.XYZs[3 * part + c] = this.#look.XYZ[c];
      }
      if (d > worst) {
        worst = d;
        this.worstPart = part;
      }
    }
    return worst;
  }
}

/** Shares of the base paints at a point, in a fresh array. */
export function sharesAt({ paints }: GroundJob, { ratio, thirdShare }: GroundPoint): Float64Array {
  return paints.length === 1 ? Float64Array.of(1) : blendShares(ratio, thirdShare, paints.length);
}
