import type { Component } from "../coating/component.ts";
import { Eye } from "../coating/eye.ts";
import { contrastRatioOfFilm } from "../coating/hiding.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { sumOf } from "../fit/sumOf.ts";
import { Descender, limitsOf } from "../fit/trustRegion.ts";
import { filmReflectanceInto, reflectivityInto } from "../optics/film.ts";
import { costOf } from "../recipes/costOf.ts";
import { recipeDepths } from "../recipes/depths.ts";
import { coatsOver } from "../recipes/finish.ts";
import { ForwardModel } from "../recipes/forward.ts";
import { type GroundJob, wetOfCoats } from "./job.ts";
import { mixWet, type WetFilm } from "./wetFilm.ts";

/** What a ground may be made of. */
export interface GroundChoiceRequest extends Omit<GroundJob, "paints" | "formula"> {
  /** Base paints at hand, any number. */
  readonly paints: readonly Component[];
  /** Pastes that may tint a ground. */
  readonly tints: readonly Component[];
  /** Greatest share of a tinting paste in the wet basecoat, 0…1. */
  readonly maxTint: number;
  /** Wet thickness of one basecoat, µm. */
  readonly oneBasecoatWet: number;
  /** Colour difference that passes, ΔE00. */
  readonly tolerance: number;
  /** Colour coats to try. */
  readonly maxCoats: number;
  /** Share of the sprayed coating that ends up on the part, above 0, up to 1. */
  readonly transferEfficiency: number;
}

/** Which paints, and which paste, by index. */
export interface GroundSet {
  readonly paints: readonly number[];
  readonly tint: number | undefined;
}

/** The best that a set of base paints can do as a ground. */
export interface GroundCandidate extends GroundSet {
  /** Share of each paint, then of the tint if there is one, in the wet basecoat; sums to 1. */
  readonly shares: Float64Array;
  /** ΔE00 of each part after the planned coats, and the greatest of them. */
  readonly differences: Float64Array;
  readonly difference: number;
  /**
   * Fewest colour coats that bring every part within the tolerance; undefined when none of those tried does.
   */
  readonly coats: number | undefined;
  /**
   * ΔE00 of the basecoat on the darkest part to its own opaque film, and the basecoats it takes to bring that
   * below 1.
   */
  readonly hiding: number;
  readonly basecoatsToHide: number | undefined;
  /** Contrast ratio of the basecoat, black 0 and white 0.80. */
  readonly contrastRatio: number;
  /**
   * Cost of basecoat and of the colour coats needed (the planned ones when none suffice), per m²; undefined
   * without prices.
   */
  readonly cost: number | undefined;
}

const smoothings = [1, 0.1, 0.01, 1e-3, 1e-4];
const mostBasecoats = 8;
/** Shares below which a member adds nothing worth pouring; common practice. */
const leastPaint = 0.01;
const leastTint = 5e-4;

/** Fits and rates grounds for one job; holds what they have in common. */
export class GroundRater {
  readonly #request: GroundChoiceRequest;
  readonly #colourFilm: WetFilm;
  readonly #eye: Eye;
  readonly #darkest: Float64Array;
  readonly #colourCost: number | undefined;

  constructor(request: GroundChoiceRequest) {
    this.#request = request;
    const { recipe, eye, substrates } = request;
    const total = sumOf(recipe.volumes);
    const shares = Array.from(recipe.volumes, (volume) => volume / total);
    this.#colourFilm = mixWet(recipe.components, shares);
    this.#colourCost = costOf(recipe.components, shares);
    this.#eye = new Eye(eye);
    const Y = (part: Float64Array) => part.reduce((sum, R, i) => sum + R * eye.weights.y[i], 0);
    this.#darkest = substrates.reduce((dark, part) => (Y(part) < Y(dark) ? part : dark));
  }

  /**
   * The best blend of a set, or undefined when it does best without one of its members: then it is another,
   * smaller set. By Newton steps on exact derivatives from several blends spread over the set.
   */
  rate(set: GroundSet): GroundCandidate | undefined {
    const { paints, tints, basecoatWet, maxTint, coatWets, substrates } = this.#request;
    const members = set.paints.map((p) => paints[p]);
    if (set.tint !== undefined) members.push(tints[set.tint]);
    const model = this.#model(members, wetOfCoats(coatWets, coatWets.length));
    const x = this.#fit(model, set.paints.length, set.tint === undefined ? 0 : maxTint);
    const shares = new Float64Array(members.length);
    shares[0] = 1;
    for (let i = 0; i < x.length; i++) {
      shares[i + 1] = x[i];
      shares[0] -= x[i];
    }
    if (shares.some((share, j) => share < (j < set.paints.length ? leastPaint : leastTint))) return undefined;
    const differences = new Float64Array(substrates.length);
    model.differencesInto(x, differences);
    const film = mixWet(members, shares);
    const coats = this.#coatsNeeded(members, x);
    const groundCost = costOf(members, shares);
    const wetColour = wetOfCoats(coatWets, coats ?? coatWets.length) + (this.#request.more?.mean ?? 0);
    const cost =
      groundCost === undefined || this.#colourCost === undefined
        ? undefined
        : (basecoatWet * groundCost + wetColour * this.#colourCost) / this.#request.transferEfficiency;
    return {
      ...set,
      shares,
      differences,
      difference: Math.max(...differences),
      coats,
      ...this.#hiding(film),
      contrastRatio: contrastRatioOfFilm(film, basecoatWet, this.#eye.conditions.weights),
      cost,
    };
  }

  #model(members: readonly Component[], wetColour: number): ForwardModel {
    const { basecoatWet, substrates, more, eye, target } = this.#request;
    return new ForwardModel({
      basecoat: recipeDepths(members, 0, basecoatWet),
      depths: recipeDepths([{ ...this.#colourFilm, volumeSolids: 1 }], 0, wetColour),
      finish: coatsOver(wetColour, substrates, more?.wets),
      surface: eye.surface,
      sheen: eye.sheen,
      lights: [{ weights: eye.weights, weight: 1 }],
      targets: [target],
    });
  }

  #fit(model: ForwardModel, paints: number, maxTint: number): Float64Array {
    const n = model.size;
    const high = Float64Array.from({ length: n }, (_, i) => (i < paints - 1 ? 1 : maxTint));
    const limits = limitsOf(new Float64Array(n), high, [{ a: new Float64Array(n).fill(1), b: 1 }]);
    const descender = new Descender(n, model.objectives, 1);
    let best = new Float64Array(n);
    let value = Number.POSITIVE_INFINITY;
    for (const start of startsFor(paints, n, maxTint)) {
      const x = start.slice();
      descender.minimise(model, x, limits, { smoothings, maxIterations: 80 });
      const found = model.value(x);
      if (found < value - 1e-9) {
        best = x;
        value = found;
      }
    }
    return best;
  }

  #coatsNeeded(members: readonly Component[], x: Float64Array): number | undefined {
    const { coatWets, maxCoats, tolerance } = this.#request;
    for (let coats = 1; coats <= maxCoats; coats++) {
      if (this.#model(members, wetOfCoats(coatWets, coats)).value(x) <= tolerance) return coats;
    }
    return undefined;
  }

  #hiding({ absorption, scattering }: WetFilm): { hiding: number; basecoatsToHide: number | undefined } {
    const { basecoatWet, oneBasecoatWet } = this.#request;
    const internal = new Float64Array(this.#darkest.length);
    const opaque = new Float64Array(3);
    const Lab = new Float64Array(3);
    reflectivityInto(absorption, scattering, internal);
    this.#eye.labOfInternal(internal, opaque);
    const at = (wet: number): number => {
      filmReflectanceInto(absorption, scattering, wet, this.#darkest, internal);
      this.#eye.labOfInternal(internal, Lab);
      return deltaE2000(opaque, Lab);
    };
    let basecoatsToHide: number | undefined;
    for (let coats = 0; coats <= mostBasecoats && basecoatsToHide === undefined; coats++) {
      if (at(coats * oneBasecoatWet) <= 1) basecoatsToHide = coats;
    }
    return { hiding: at(basecoatWet), basecoatsToHide };
  }
}

/**
 * Blends to start from: the middle of the set and a point towards each paint, without and with some of the
 * tint.
 */
function startsFor(paints: number, n: number, maxTint: number): Float64Array[] {
  const blends: Float64Array[] = [new Float64Array(paints).fill(1 / paints)];
  for (let p = 0; p < paints; p++) {
    blends.push(Float64Array.from({ length: paints }, (_, j) => (j === p ? 0.8 : 0.2 / (paints - 1))));
  }
  const tints = n === paints ? [0.02 * maxTint, 0.3 * maxTint] : [0];
  return blends.flatMap((blend) =>
    tints.map((tint) =>
      Float64Array.from({ length: n }, (_, i) => (i < paints - 1 ? blend[i + 1] * (1 - tint) : tint)),
    ),
  );
}
