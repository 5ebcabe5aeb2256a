import { type Difference, differenceOf } from "../colour/difference.ts";
import { checkJob, type GroundJob, type GroundPoint, wetOfCoats } from "./job.ts";
import type { JobDraws } from "./jobDraws.ts";
import { Look } from "./look.ts";
import {
  blendWetInto,
  createFractions,
  createWetFilm,
  type FilmFraction,
  fractionInto,
  loadedShares,
  type WetFilm,
  wetFilmOf,
} from "./wetFilm.ts";

/**
 * The whole chain of a job, blend → films → coats → surface → colour → difference, at any point, as planned or
 * as drawn with everything a little off. What a step does not change is kept from the last one. One
 * evaluation allocates nothing but the point itself.
 */
export class GroundChain {
  readonly job: GroundJob;
  readonly #draws: JobDraws | undefined;
  readonly #paints: readonly WetFilm[];
  readonly #components: readonly WetFilm[];
  readonly #difference: Difference;
  readonly #look: Look;
  readonly #blend: WetFilm;
  readonly #colour: WetFilm;
  readonly #base: FilmFraction;
  readonly #coat: FilmFraction;
  readonly #shares = new Float64Array(3);
  readonly #doses: Float64Array;
  /** Loading and shares of the colour, and whether its planned film is the one laid out in #colour. */
  #loading: number | undefined;
  #planned: Float64Array;
  #isLaid = false;
  /** Loading and wet thickness of the film laid out in #coat. */
  #coatLoading: number | undefined;
  #coatWet = Number.NaN;
  /** Difference of each part at the last point. */
  readonly differences: Float64Array;
  /** CIELAB of each part at the last point, three numbers each. */
  readonly labs: Float64Array;
  /** Tristimulus values of each part at the last point, three numbers each. */
  readonly XYZs: Float64Array;
  /** Part with the greatest difference at the last point. */
  worstPart = 0;

  /**
   * @param draws of this job, where points are to be looked at as drawn
   * @throws RangeError, TypeError for a job that cannot be computed
   */
  constructor(job: GroundJob, draws?: JobDraws) {
    checkJob(job);
    this.job = job;
    this.#draws = draws;
    const { length } = job.eye.weights.x;
    this.#paints = job.paints.map(wetFilmOf);
    this.#components = job.recipe.components.map(wetFilmOf);
    this.#planned = loadedShares(job.recipe);
    this.#doses = new Float64Array(this.#components.length);
    this.#difference = differenceOf(job.formula);
    this.#look = new Look(job.eye);
    this.#blend = createWetFilm(length);
    this.#colour = createWetFilm(length);
    [this.#base, this.#coat] = createFractions(2, length);
    this.differences = new Float64Array(job.substrates.length);
    this.labs = new Float64Array(3 * job.substrates.length);
    this.XYZs = new Float64Array(3 * job.substrates.length);
  }

  /** Film of the basecoat at a point, per µm, in the chain's own work space. */
  baseFilm({ ratio: planned, thirdShare }: GroundPoint, draw?: Float64Array): WetFilm {
    const shares = this.#shares;
    const paints = this.#paints.length;
    const ratio = draw && this.#draws ? this.#draws.ratio(draw, planned) : planned;
    const rest = paints > 2 ? 1 - thirdShare : 1;
    shares[0] = paints > 1 ? rest * (1 - ratio) : 1;
    shares[1] = rest * ratio;
    shares[2] = thirdShare;
    if (draw && this.#draws) this.#draws.baseFilmInto(draw, shares, this.#blend);
    else blendWetInto(this.#paints, shares, this.#blend);
    return this.#blend;
  }

  /** Film of the colour likewise. */
  colourFilm({ loading }: GroundPoint, draw?: Float64Array): WetFilm {
    if (loading !== this.#loading) {
      this.#planned = loadedShares(this.job.recipe, loading);
      this.#loading = loading;
      this.#isLaid = false;
    }
    if (draw && this.#draws) {
      this.#draws.dosesInto(draw, this.#planned, this.#doses);
      this.#draws.colourFilmInto(draw, this.#doses, this.#colour);
      this.#isLaid = false;
    } else if (!this.#isLaid) {
      blendWetInto(this.#components, this.#planned, this.#colour);
      this.#isLaid = true;
    }
    return this.#colour;
  }

  /** Wet thickness of all basecoats at a point, µm. */
  wetBase({ basecoatBuild }: GroundPoint): number {
    return basecoatBuild * this.job.basecoatWet;
  }

  /** Wet thickness of all colour coats at a point, µm. */
  wetColour({ coats, colourBuild }: GroundPoint): number {
    return colourBuild * wetOfCoats(this.job.coatWets, coats);
  }

  /** Basecoat of a point as a film fraction, written to `out`. */
  baseInto(point: GroundPoint, out: FilmFraction, draw?: Float64Array): void {
    const build = draw && this.#draws ? this.#draws.basecoatBuild(draw) : 1;
    fractionInto(this.baseFilm(point, draw), build * this.wetBase(point), out);
  }

  /** Colour coats of a point as a film fraction, written to `out`. */
  colourInto(point: GroundPoint, out: FilmFraction, draw?: Float64Array): void {
    const build = draw && this.#draws ? this.#draws.colourBuild(draw) : 1;
    fractionInto(this.colourFilm(point, draw), build * this.wetColour(point), out);
  }

  /** Greatest difference over the parts; the parts' own are left in the fields. */
  at(point: GroundPoint, draw?: Float64Array): number {
    this.baseInto(point, this.#base, draw);
    const wet = draw ? Number.NaN : this.wetColour(point);
    if (wet !== this.#coatWet || point.loading !== this.#coatLoading) {
      this.colourInto(point, this.#coat, draw);
      this.#coatWet = wet;
      this.#coatLoading = point.loading;
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
