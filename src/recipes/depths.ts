import type { Component } from "../coating/component.ts";
import { sumOf } from "../fit/sumOf.ts";
import type { DepthModel } from "./filmStack.ts";
import type { Finish } from "./finish.ts";

/** A depth model whose variables are the wet shares of all components but the binder, which fills up to 1. */
export interface RecipeDepths extends DepthModel {
  /** Index of the component behind each variable. */
  readonly componentOf: Int32Array;
  readonly binderIndex: number;
}

/**
 * Optical depths of a recipe, linear in the wet shares of its pastes.
 *
 * @param binderIndex the component that fills the mix up
 * @param finish coats, or µm of wet film, give depths for that thickness; an opaque film needs only their ratio
 * Source: K and S add by dry volume (Duncan 1940, from memory); dry thickness = wet thickness × volume solids (ISO 3233).
 */
export function recipeDepths(
  components: readonly Pick<Component, "absorption" | "scattering" | "volumeSolids">[],
  binderIndex: number,
  finish: Finish | number,
): RecipeDepths {
  const binder = components[binderIndex];
  const length = binder.absorption.length;
  const thickness = typeof finish === "number" ? finish : finish.kind === "coats" ? finish.wetThickness : 1;
  const depth = (values: Float64Array, solids: number) => values.map((v) => v * solids * thickness);
  const componentOf = Int32Array.from(components.keys()).filter((j) => j !== binderIndex);
  const baseAlpha = depth(binder.absorption, binder.volumeSolids);
  const baseSigma = depth(binder.scattering, binder.volumeSolids);
  const alpha = new Float64Array(length * componentOf.length);
  const sigma = new Float64Array(length * componentOf.length);
  componentOf.forEach((j, i) => {
    const { absorption, scattering, volumeSolids } = components[j];
    const a = depth(absorption, volumeSolids);
    const s = depth(scattering, volumeSolids);
    for (let k = 0; k < length; k++) {
      alpha[i * length + k] = a[k] - baseAlpha[k];
      sigma[i * length + k] = s[k] - baseSigma[k];
    }
  });
  return {
    length,
    baseAlpha,
    baseSigma,
    alpha,
    sigma,
    variables: componentOf.length,
    componentOf,
    binderIndex,
  };
}

/**
 * A dose of each variable that makes itself felt: the share that gives a mean optical depth of 0.7 in coats, or, for an
 * opaque film, a share that counts as much as those of the others. Used to spread trial points and to print small doses.
 */
export function tellingDoses({ length, alpha, sigma, variables }: DepthModel, opaque: boolean): Float64Array {
  const doses = new Float64Array(variables);
  let total = 0;
  for (let i = 0; i < variables; i++) {
    let sum = 0;
    for (let k = 0; k < length; k++) {
      sum += Math.abs(alpha[i * length + k]) + Math.abs(sigma[i * length + k]);
    }
    doses[i] = sum > 0 ? (0.7 * length) / sum : 1;
    total += doses[i];
  }
  if (opaque && total > 0) for (let i = 0; i < variables; i++) doses[i] *= 0.5 / total;
  for (let i = 0; i < variables; i++) doses[i] = Math.min(1, doses[i]);
  return doses;
}

/** Wet shares of the variables from wet volumes of all components, of any one unit. */
export function variablesOf({ componentOf }: RecipeDepths, volumes: ArrayLike<number>): Float64Array {
  const total = sumOf(volumes);
  return Float64Array.from(componentOf, (j) => volumes[j] / total);
}
