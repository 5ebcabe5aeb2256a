import type { RefitRequest } from "../ground/refittedRatio.ts";
import { type GroundCoverage, groundJobOf } from "./groundJob.ts";
import { matchOf } from "./matchOf.ts";

/**
 * The question of blend and recipe together that a coverage stands for. Neither its ratio nor the amounts of its recipe are
 * part of it; undefined where there are no two paints to blend, no binder, or no paste.
 */
export function refitRequestOf(coverage: GroundCoverage): RefitRequest | undefined {
  const { recipe, basecoat } = coverage;
  const { components } = recipe;
  const { binderIndex, lights, target } = matchOf(coverage);
  const hasPaste = components.some(({ role }) => role === "paste");
  if (binderIndex < 0 || !target || !hasPaste || basecoat.paints.length < 2 || basecoat.coats === 0)
    return undefined;
  const job = groundJobOf(coverage);
  return {
    job: { ...job, recipe: { components, volumes: Float64Array.from(components, () => 1) } },
    binderIndex,
    limits: recipe.amountLimits,
    leastDose: recipe.leastDose,
    target,
    lights: target.kind === "lab" ? lights.slice(0, 1) : lights,
    thirdShare: basecoat.thirdShare,
  };
}
