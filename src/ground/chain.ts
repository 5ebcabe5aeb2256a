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

/** The colour on all parts, a film for every thickness that any of them gets. */
export type ColourFilms = readonly FilmFraction[];

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
  readonly #coat: ColourFilms;
  /** Wet colour beyond the common coats, µm: every thickness that any part gets, and which of them each part gets. */
  readonly #more: readonly number[];
  readonly #filmOf: readonly number[];
  readonly #shares = new Float64Array(3);
  readonly #doses: Float64Array;
  /** Loading and shares of the colour, and whether its planned film is the one laid out in #colour. */
  #loading: number | undefined;
  #planned: Float64Array;
  #isLaid = false;
  /** Loading, coats and build of the films laid out in #coat. */
  #coatLoading: number | undefined;
  #coatCoats = Number.NaN;
  #coatBuild = Number.NaN;
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
    const own = job.substrates.map((_, part) => job.more?.wets[part] ?? 0);
    this.#more = [...new Set(own)];
    this.#filmOf = own.map((wet) => this.#more.indexOf(wet));
    [this.#base] = createFractions(1, length);
    this.#coat = this.createColour();
    this.differences = new Float64Array(job.substrates.length);
    this.labs = new Float64Array(3 * job.substrates.length);
    this.XYZs = new Float64Array(3 * job.substrates.length);
  }

  /** Room for the colour on all parts: a film for every thickness that any of them gets. */
  createColour(): ColourFilms {
    return createFractions(this.#more.length, this.job.eye.weights.x.length);
  }

  /** Which of the films of `createColour` a part gets. */
  filmOf(part: number): number {
    return this.#filmOf[part];
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

  /** Wet thickness of all colour coats at a point, µm, of each film of `createColour`. */
  wetColours({ coats, colourBuild }: GroundPoint): number[] {
    const common = wetOfCoats(this.job.coatWets, coats);
    return this.#more.map((more) => colourBuild * (common + more));
  }

  /** Basecoat of a point as a film fraction, written to `out`. */
  baseInto(point: GroundPoint, out: FilmFraction, draw?: Float64Array): void {
    const build = draw && this.#draws ? this.#draws.basecoatBuild(draw) : 1;
    fractionInto(this.baseFilm(point, draw), build * this.wetBase(point), out);
  }

  /** Colour coats of a point as film fractions, written to `out` (`createColour`). */
  colourInto(point: GroundPoint, out: ColourFilms, draw?: Float64Array): void {
    const build = draw && this.#draws ? this.#draws.colourBuild(draw) : 1;
    const film = this.colourFilm(point, draw);
    const common = wetOfCoats(this.job.coatWets, point.coats);
    for (let k = 0; k < out.length; k++) {
      fractionInto(film, build * (point.colourBuild * (common + this.#more[k])), out[k]);
    }
  }

  /** Greatest difference over the parts; the parts' own are left in the fields. */
  at(point: GroundPoint, draw?: Float64Array): number {
    this.baseInto(point, this.#base, draw);
    const { coats, colourBuild, loading } = point;
    if (
      draw ||
      coats !== this.#coatCoats ||
      colourBuild !== this.#coatBuild ||
      loading !== this.#coatLoading
    ) {
      this.colourInto(point, this.#coat, draw);
      this.#coatCoats = draw ? Number.NaN : coats;
      this.#coatBuild = colourBuild;
      this.#coatLoading = loading;
    }
    return this.compare(this.#coat, this.#base);
  }

  /** As `at`, for films made before. */
  compare(colour: ColourFilms, base: FilmFraction): number {
    const { substrates, target } = this.job;
    let worst = -1;
    for (let part = 0; part < substrates.length; part++) {
      const Lab = this.#look.through(colour[this.#filmOf[part]], base, substrates[part]);
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
