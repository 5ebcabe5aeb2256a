import type { Component } from "../../src/coating/component.ts";
import { normal } from "../../src/fit/seededRandom.ts";
import { recipeDepths } from "../../src/recipes/depths.ts";
import type { Finish } from "../../src/recipes/finish.ts";
import { ForwardModel } from "../../src/recipes/forward.ts";
import { sheen, surface } from "./lanternMatch.ts";

/** The same components with K and S off by a smooth random error, standard deviation `error`. */
export function withErrors(
  components: readonly Component[],
  error: number,
  random: () => number,
): Component[] {
  return components.map((component) => {
    const wobble = () => {
      const size = [normal(random), normal(random), normal(random)];
      // Three slow waves of equal weight: unit variance on the average over the spectrum.
      return (k: number, length: number) =>
        Math.exp(
          (error *
            (size[0] +
              size[1] * Math.SQRT2 * Math.cos((Math.PI * (k + 0.5)) / length) +
              size[2] * Math.SQRT2 * Math.cos((2 * Math.PI * (k + 0.5)) / length))) /
            Math.sqrt(3),
        );
    };
    const onK = wobble();
    const onS = wobble();
    return {
      ...component,
      absorption: component.absorption.map((K, k, all) => K * onK(k, all.length)),
      scattering: component.scattering.map((S, k, all) => S * onS(k, all.length)),
    };
  });
}

/** What wet volumes of components look like over a ground. */
export function seenOfVolumes(
  components: readonly Component[],
  binderIndex: number,
  volumes: ArrayLike<number>,
  finish: Finish,
  ground = 0,
): Float64Array {
  const depths = recipeDepths(components, binderIndex, finish);
  let total = 0;
  for (let j = 0; j < volumes.length; j++) total += volumes[j];
  const x = Float64Array.from(depths.componentOf, (j) => volumes[j] / total);
  const forward = new ForwardModel({ depths, finish, surface, sheen, lights: [], targets: [] });
  const out = new Float64Array(depths.length);
  forward.seenInto(x, ground, out);
  return out;
}
