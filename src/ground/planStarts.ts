import { sumOf } from "../fit/sumOf.ts";
import { keeps, type Limits } from "../fit/trustRegion.ts";
import { filmReflectanceInto } from "../optics/film.ts";
import { coatsOver } from "../recipes/finish.ts";
import { fitAmounts } from "../recipes/fitAmounts.ts";
import { keepWithin } from "../recipes/recipeLimits.ts";
import type { PlanSpace } from "./planSpace.ts";
import type { PlanStep } from "./planSteps.ts";
import { mixWet } from "./wetFilm.ts";

/** The given recipe thinner and fuller over every blend, and the least amounts; all within the limits. */
export function spreadStarts(space: PlanSpace, step: PlanStep, limits: Limits): Float64Array[] {
  const { startVolumes, binderIndex, amounts } = space.request;
  const { componentOf } = space.depths(step).depths;
  const total = sumOf(startVolumes);
  const others = total - startVolumes[binderIndex];
  const starts = space.leanest(limits);
  if (others === 0) return starts;
  const own = others / total;
  for (const loading of [own, 0.5 * own, 2 * own, amounts.maxLoading]) {
    for (const blend of space.blends) {
      const recipe = Array.from(componentOf, (j) => (Math.min(1, loading) * startVolumes[j]) / others);
      const x = Float64Array.from([...blend, ...recipe]);
      keepWithin(limits, x);
      if (keeps(limits, x)) starts.push(x);
    }
  }
  return starts;
}

/** Recipes that fit best by themselves over some of the blends, for given coats. */
export function fittedStarts(space: PlanSpace, step: PlanStep): Float64Array[] {
  const { components, binderIndex, amounts, startVolumes, substrates, more, surface, sheen, lights } =
    space.request;
  const { blends } = space;
  return [...new Set([0, Math.floor(blends.length / 2), blends.length - 1])].map((k) => {
    const { absorption, scattering } = mixWet(space.paints, [1 - sumOf(blends[k]), ...blends[k]]);
    const grounds = substrates.map((part) => {
      const ground = new Float64Array(part.length);
      filmReflectanceInto(absorption, scattering, step.wetBase, part, ground);
      return ground;
    });
    const { volumes } = fitAmounts({
      components,
      binderIndex,
      limits: amounts,
      startVolumes,
      finish: coatsOver(step.wetColour, grounds, more?.wets),
      target: { kind: "lab", Lab: lights[0].target },
      lights: [{ weights: lights[0].weights, weight: 1 }],
      surface,
      sheen,
    });
    const recipe = Array.from(volumes, (volume) => volume / 100).filter((_, j) => j !== binderIndex);
    return Float64Array.from([...blends[k], ...recipe]);
  });
}
