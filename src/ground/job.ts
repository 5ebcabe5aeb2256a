import type { Component } from "../coating/component.ts";
import type { EyeConditions } from "../coating/eye.ts";
import { atLeastZero, each, fraction, ofLength, triple } from "../colour/checks.ts";
import type { DifferenceFormula } from "../colour/difference.ts";
import { checkSurface } from "../optics/interface.ts";
import { checkSpectra } from "../recipes/checkComponents.ts";

/** A mix of the colour: components and wet amounts of any one unit. */
interface ColourRecipe {
  readonly components: readonly Component[];
  readonly volumes: ArrayLike<number>;
}

/** Colour that single parts get beyond the coats of all. */
export interface FurtherWet {
  /** Wet thickness on each part, µm. */
  readonly wets: ArrayLike<number>;
  /** Their mean over the surface of all parts, µm. */
  readonly mean: number;
}

/** Everything about a job but the choice of its ground. Plain data, so that it can be sent to a worker. */
export interface GroundJob {
  /** One to three base paints. */
  readonly paints: readonly Component[];
  /** Wet thickness of all basecoats together, µm; 0 for none. */
  readonly basecoatWet: number;
  readonly recipe: ColourRecipe;
  /** Wet thickness of each planned colour coat in order, µm; further coats repeat the last. */
  readonly coatWets: ArrayLike<number>;
  /** Colour that single parts get beyond those coats; none when left out. */
  readonly more?: FurtherWet;
  /** Internal reflectance of every part on the working grid. */
  readonly substrates: readonly Float64Array[];
  readonly eye: EyeConditions;
  /** CIELAB of the target in the eye's conditions. */
  readonly target: ArrayLike<number>;
  readonly formula: DifferenceFormula;
}

/** One choice within a job. */
export interface GroundPoint {
  /** Share of the second paint in the first two, 0…1. */
  readonly ratio: number;
  /** Share of the third paint in the whole, 0…1. */
  readonly thirdShare: number;
  /** Colour coats. */
  readonly coats: number;
  /** Share of pastes in the wet colour, 0…1; the recipe's own when undefined. */
  readonly loading: number | undefined;
  /** Film build of the colour and of the basecoat, as a share of what is planned. */
  readonly colourBuild: number;
  readonly basecoatBuild: number;
}

/** The planned point of a job at a ratio. */
export function plannedPoint(job: GroundJob, ratio: number, thirdShare = 0): GroundPoint {
  return {
    ratio,
    thirdShare,
    coats: job.coatWets.length,
    loading: undefined,
    colourBuild: 1,
    basecoatBuild: 1,
  };
}

/** Wet thickness of so many colour coats, µm; a broken number takes part of the next coat. */
export function wetOfCoats(coatWets: ArrayLike<number>, coats: number): number {
  let wet = 0;
  const last = coatWets.length - 1;
  for (let c = 0; c < coats; c++) wet += coatWets[Math.min(c, last)] * Math.min(1, coats - c);
  return wet;
}

/** @throws TypeError, RangeError for other than one thickness of at least 0 for each part */
export function checkMore(more: FurtherWet | undefined, parts: number): void {
  if (!more) return;
  ofLength("further wet thicknesses", more.wets, parts);
  each("further wet thickness", more.wets, atLeastZero, "µm");
  atLeastZero("mean further wet thickness", more.mean, "µm");
}

/**
 * Refuses a job that cannot be computed.
 * @throws RangeError, TypeError naming the value
 */
export function checkJob(job: GroundJob): void {
  const { paints, recipe, substrates, eye, coatWets } = job;
  if (paints.length < 1 || paints.length > 3) {
    throw new RangeError(`base paints = ${paints.length}: one to three can be blended`);
  }
  atLeastZero("wet thickness of the basecoat", job.basecoatWet, "µm");
  if (coatWets.length === 0) throw new RangeError("no colour coat is planned: at least one is needed");
  each("wet thickness of a colour coat", coatWets, atLeastZero, "µm");
  checkMore(job.more, substrates.length);
  if (substrates.length === 0) throw new RangeError("no part is given: at least one is needed");
  const { length } = eye.weights.x;
  checkSpectra([...paints, ...recipe.components], length);
  for (const substrate of substrates) {
    ofLength("reflectance of a part", substrate, length);
    each("reflectance of a part", substrate, fraction);
  }
  ofLength("wet volumes", recipe.volumes, recipe.components.length);
  each("wet volume", recipe.volumes, atLeastZero, "mL");
  checkSurface(eye.surface.externalReflection, eye.surface.internalReflection);
  fraction("sheen", eye.sheen);
  triple("target Lab", job.target);
}
