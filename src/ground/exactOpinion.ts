import { Eye } from "../coating/eye.ts";
import { within } from "../colour/checks.ts";
import { deltaE2000, differenceOf } from "../colour/difference.ts";
import { filmReflectanceInto } from "../optics/film.ts";
import { opticalFilm, StackSolver } from "../optics/transfer/stack.ts";
import { GroundChain } from "./chain.ts";
import type { GroundJob, GroundPoint } from "./job.ts";
import type { WetFilm } from "./wetFilm.ts";

interface ExactOptions {
  /** Mean cosine of scattering in basecoat and colour; 0, isotropic, when left out. */
  readonly anisotropy?: number;
  /** Directions followed in each hemisphere; 8 when left out. */
  readonly streams?: number;
}

/** One part by both theories. */
interface PartOpinion {
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

/** Internal reflectance of all parts by both theories at a ratio; the colour's slabs are made once for every thickness. */
class BothTheories {
  readonly #chain: GroundChain;
  readonly #point: GroundPoint;
  readonly #anisotropy: number;
  readonly #solver: StackSolver;
  readonly #slabs;
  readonly exact: readonly Float64Array[];
  readonly twoFlux: readonly Float64Array[];

  constructor(job: GroundJob, point: GroundPoint, { anisotropy = 0, streams }: ExactOptions) {
    within("anisotropy", anisotropy, -0.95, 0.95);
    this.#chain = new GroundChain(job);
    this.#point = point;
    this.#anisotropy = anisotropy;
    this.#solver = new StackSolver(streams);
    this.#slabs = this.#chain
      .wetColours(point)
      .map((wet) => this.#slabsOf(this.#chain.colourFilm(point), wet));
    this.exact = job.substrates.map((part) => new Float64Array(part.length));
    this.twoFlux = job.substrates.map((part) => new Float64Array(part.length));
  }

  at(ratio: number): void {
    const chain = this.#chain;
    const blend = chain.baseFilm({ ...this.#point, ratio });
    const colour = chain.colourFilm(this.#point);
    const [wetBase, wetColours] = [chain.wetBase(this.#point), chain.wetColours(this.#point)];
    const bases = this.#slabsOf(blend, wetBase);
    chain.job.substrates.forEach((part, p) => {
      const exact = this.exact[p];
      const slabs = this.#slabs[chain.filmOf(p)];
      for (let i = 0; i < exact.length; i++) {
        exact[i] = this.#solver.over([slabs[i], bases[i]], part[i]);
      }
      const R = this.twoFlux[p];
      filmReflectanceInto(blend.absorption, blend.scattering, wetBase, part, R);
      filmReflectanceInto(colour.absorption, colour.scattering, wetColours[chain.filmOf(p)], R, R);
    });
  }

  #slabsOf({ absorption, scattering }: WetFilm, wet: number) {
    return Array.from(absorption, (K, i) =>
      this.#solver.slab(opticalFilm(K, scattering[i], wet, this.#anisotropy), this.#anisotropy),
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
