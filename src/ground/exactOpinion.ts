import { Eye } from "../coating/eye.ts";
import { within } from "../colour/checks.ts";
import { deltaE2000, differenceOf } from "../colour/difference.ts";
import { filmReflectanceInto } from "../optics/film.ts";
import { opticalFilm, StackSolver } from "../optics/transfer/stack.ts";
import { sharesAt } from "./chain.ts";
import { checkJob, type GroundJob, type GroundPoint, wetOfCoats } from "./job.ts";
import { blendWetInto, createWetFilm, loadedInto, splitRecipe, type WetFilm, wetFilmOf } from "./wetFilm.ts";

export interface ExactOptions {
  /** Mean cosine of scattering in basecoat and colour; 0, isotropic, when left out. */
  readonly anisotropy?: number;
  /** Directions followed in each hemisphere; 8 when left out. */
  readonly streams?: number;
}

/** One part by both theories. */
export interface PartOpinion {
  readonly twoFluxLab: Float64Array;
  readonly exactLab: Float64Array;
  /** ΔE00 between the two. */
  readonly apart: number;
  /** L* by exact transfer less L* by two-flux theory: above 0 the theory is too dark. */
  readonly lighter: number;
  /** Difference to the target by each, in the job's formula. */
  readonly twoFluxDifference: number;
  readonly exactDifference: number;
}

export interface ExactOpinion {
  readonly parts: readonly PartOpinion[];
  /** Greatest of what lies between the theories over the parts, ΔE00. */
  readonly apart: number;
  /** Greatest difference to the target by each. */
  readonly twoFluxWorst: number;
  readonly exactWorst: number;
  readonly words: string;
}

/** Worst part along the ratio by both theories: the band between them is what the model leaves open. */
export interface ExactCurve {
  readonly ratios: Float64Array;
  readonly twoFlux: Float64Array;
  readonly exact: Float64Array;
}

/**
 * A job at one point by exact multiple scattering beside two-flux theory.
 *
 * K and S are taken at their word as K = 2k, S = ¾s(1 − g). Coefficients that were fitted to drawdowns of
 * about the job's film thickness have part of the difference in them already; for them what is stated here is
 * likely too much. Films are of one refractive index and the surface is the same for both theories.
 *
 * @throws RangeError, TypeError for a job or a point that cannot be computed
 */
export function exactOpinion(job: GroundJob, point: GroundPoint, options: ExactOptions = {}): ExactOpinion {
  const both = new BothTheories(job, point, options);
  both.at(point.ratio);
  const difference = differenceOf(job.formula);
  const eye = new Eye(job.eye);
  const parts = job.substrates.map((_, p): PartOpinion => {
    const twoFluxLab = eye.see(both.twoFlux[p]).Lab;
    const exactLab = eye.see(both.exact[p]).Lab;
    return {
      twoFluxLab,
      exactLab,
      apart: deltaE2000(exactLab, twoFluxLab),
      lighter: exactLab[0] - twoFluxLab[0],
      twoFluxDifference: difference(job.target, twoFluxLab),
      exactDifference: difference(job.target, exactLab),
    };
  });
  const greatest = (of: (part: PartOpinion) => number) => Math.max(...parts.map(of));
  const opinion = {
    parts,
    apart: greatest((part) => part.apart),
    twoFluxWorst: greatest((part) => part.twoFluxDifference),
    exactWorst: greatest((part) => part.exactDifference),
  };
  return { ...opinion, words: wordsOf(opinion) };
}

/** The worst part over several ratios by both theories. */
export function exactCurve(
  job: GroundJob,
  point: GroundPoint,
  ratios: ArrayLike<number>,
  options: ExactOptions = {},
): ExactCurve {
  const both = new BothTheories(job, point, options);
  const eye = new Eye(job.eye);
  const difference = differenceOf(job.formula);
  const Lab = new Float64Array(3);
  const worst = (internals: readonly Float64Array[]): number => {
    let greatest = 0;
    for (const internal of internals) {
      eye.labOfInternal(internal, Lab);
      greatest = Math.max(greatest, difference(job.target, Lab));
    }
    return greatest;
  };
  const twoFlux = new Float64Array(ratios.length);
  const exact = new Float64Array(ratios.length);
  for (let k = 0; k < ratios.length; k++) {
    both.at(ratios[k]);
    twoFlux[k] = worst(both.twoFlux);
    exact[k] = worst(both.exact);
  }
  return { ratios: Float64Array.from(ratios), twoFlux, exact };
}

/** `exactCurve` with its arguments in one. */
export function exactCurveTask(request: {
  readonly job: GroundJob;
  readonly point: GroundPoint;
  readonly ratios: ArrayLike<number>;
  readonly options?: ExactOptions;
}): ExactCurve {
  return exactCurve(request.job, request.point, request.ratios, request.options);
}

/** Internal reflectance of all parts by both theories at a ratio; the colour's slabs are made once. */
class BothTheories {
  readonly #job: GroundJob;
  readonly #point: GroundPoint;
  readonly #anisotropy: number;
  readonly #solver: StackSolver;
  readonly #paints: readonly WetFilm[];
  readonly #colour: WetFilm;
  readonly #blend: WetFilm;
  readonly #wetColour: number;
  readonly #wetBase: number;
  readonly #slabs;
  readonly exact: readonly Float64Array[];
  readonly twoFlux: readonly Float64Array[];

  constructor(job: GroundJob, point: GroundPoint, { anisotropy = 0, streams }: ExactOptions) {
    checkJob(job);
    within("anisotropy", anisotropy, -0.95, 0.95);
    const { length } = job.eye.weights.x;
    this.#job = job;
    this.#point = point;
    this.#anisotropy = anisotropy;
    this.#solver = new StackSolver(streams);
    this.#paints = job.paints.map(wetFilmOf);
    this.#blend = createWetFilm(length);
    this.#colour = createWetFilm(length);
    loadedInto(splitRecipe(job.recipe.components, job.recipe.volumes), point.loading, this.#colour);
    this.#wetColour = point.colourBuild * wetOfCoats(job.coatWets, point.coats);
    this.#wetBase = point.basecoatBuild * job.basecoatWet;
    this.#slabs = Array.from({ length }, (_, i) => this.#slab(this.#colour, this.#wetColour, i));
    this.exact = job.substrates.map(() => new Float64Array(length));
    this.twoFlux = job.substrates.map(() => new Float64Array(length));
  }

  at(ratio: number): void {
    blendWetInto(this.#paints, sharesAt(this.#job, { ...this.#point, ratio }), this.#blend);
    this.#slabs.forEach((colour, i) => {
      const base = this.#slab(this.#blend, this.#wetBase, i);
      this.#job.substrates.forEach((part, p) => {
        this.exact[p][i] = this.#solver.over([colour, base], part[i]);
      });
    });
    this.#job.substrates.forEach((part, p) => {
      const R = this.twoFlux[p];
      filmReflectanceInto(this.#blend.absorption, this.#blend.scattering, this.#wetBase, part, R);
      filmReflectanceInto(this.#colour.absorption, this.#colour.scattering, this.#wetColour, R, R);
    });
  }

  #slab({ absorption, scattering }: WetFilm, wet: number, i: number) {
    return this.#solver.slab(
      opticalFilm(absorption[i], scattering[i], wet, this.#anisotropy),
      this.#anisotropy,
    );
  }
}

function wordsOf({ parts, apart, twoFluxWorst, exactWorst }: Omit<ExactOpinion, "words">): string {
  const d = (value: number) => value.toFixed(2);
  if (apart < 0.3) {
    return `Exact light transport agrees with the film theory within ΔE00 ${d(apart)} on every part.`;
  }
  const doubtful = parts.reduce((most, part) => (part.apart > most.apart ? part : most));
  const way =
    Math.abs(doubtful.lighter) < 0.1
      ? "off in hue or chroma"
      : doubtful.lighter > 0
        ? "too dark"
        : "too light";
  return (
    `The film theory (two fluxes) may be ${way} here by up to ΔE00 ${d(apart)}: exact light transport puts the worst part ` +
    `${d(exactWorst)} from the target where the theory says ${d(twoFluxWorst)}. Coefficients fitted near this film thickness ` +
    "have part of that in them already; trust a test panel."
  );
}
