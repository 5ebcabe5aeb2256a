import { blendOf } from "../../src/coating/blend.ts";
import { sumOf } from "../../src/fit/sumOf.ts";
import type { RefitRequest } from "../../src/ground/refittedRatio.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { type FitResult, fitAmounts } from "../../src/recipes/fitAmounts.ts";
import { lights } from "../recipes/lanternMatch.ts";
import { seenOfVolumes } from "../recipes/mishaps.ts";
import { job, k1, rack, recipeOf } from "./lanternJob.ts";

// The invented demo job as a question about blend and recipe together: three grounds, three lights.

export const { components } = job.recipe;
export const binderIndex = components.findIndex(({ role }) => role === "binder");

/** What a recipe of the demo's own pastes looks like at a blend on the first part: a target that can be reached there. */
export function targetOf(volumes: ArrayLike<number>, ratio: number): Float64Array {
  const seen = seenOfVolumes(components, binderIndex, volumes, {
    kind: "coats",
    wetThickness: sumOf(job.coatWets),
    grounds: groundsAt(ratio),
  });
  // Those helpers see a little of the sheen; the job does not.
  return seen.map((R) => R - 0.3 * k1);
}

/** Internal reflectance of every part under the blend, by the mixing of dry films: another way than the code under test. */
export function groundsAt(ratio: number): Float64Array[] {
  const blend = blendOf(job.paints, [1 - ratio, ratio]);
  const dry = job.basecoatWet * blend.mix.volumeSolids;
  return job.substrates.map((substrate) => {
    const ground = new Float64Array(substrate.length);
    filmReflectanceInto(blend.absorption, blend.scattering, dry, substrate, ground);
    return ground;
  });
}

export const request: RefitRequest = {
  job,
  binderIndex,
  limits: { maxLoading: 0.25 },
  leastDose: 0.2,
  target: { kind: "spectrum", seen: targetOf(job.recipe.volumes, 0.5) },
  lights,
  thirdShare: 0,
};

/** The demo job with four other pastes beside its own. */
export const richJob = {
  ...job,
  recipe: recipeOf(
    ["pr254", "po73", "pw6", "py83", "binder"].flatMap((id) => {
      const found = rack.find((component) => component.id === id);
      return found ? [{ id, volume: id === "binder" ? 80 : 4 }] : [];
    }),
  ),
};

/** The fit of the recipe cell at one ratio, from nothing. */
export function fitAt(ratio: number, one: RefitRequest = request): FitResult {
  return fitAmounts({
    components: one.job.recipe.components,
    binderIndex: one.binderIndex,
    limits: one.limits,
    leastDose: one.leastDose,
    finish: { kind: "coats", wetThickness: sumOf(one.job.coatWets), grounds: groundsAt(ratio) },
    target: one.target,
    lights: one.lights,
    surface: one.job.eye.surface,
    sheen: one.job.eye.sheen,
  });
}
