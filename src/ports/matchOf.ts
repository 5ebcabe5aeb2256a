import type { Component } from "../coating/component.ts";
import { coatsOver, type Finish } from "../recipes/finish.ts";
import type { MatchSetting } from "../recipes/fitAmounts.ts";
import { type ColourCoats, commonWet, moreWet, type OwnCoats } from "./coatPlan.ts";
import type { Coverage } from "./coverage.ts";

/** What a coverage cell's recipe is for: everything about the match but the target, which may be absent. */
export function matchOf(
  { colourCoats, parts, targetSeen, viewing, recipe }: Coverage,
  components: readonly Component[] = recipe.components,
): Omit<MatchSetting, "target"> & { target?: MatchSetting["target"] } {
  return {
    components,
    binderIndex: components.findIndex((component) => component.role === "binder"),
    limits: { maxLoading: recipe.maxLoading },
    finish: coatsOnParts(
      colourCoats,
      parts.map(({ substrate }) => substrate),
      parts.map(({ ground }) => ground),
    ),
    target:
      targetSeen &&
      (targetSeen.reflectance
        ? { kind: "spectrum", seen: targetSeen.reflectance }
        : { kind: "lab", Lab: targetSeen.Lab }),
    lights: [
      { weights: viewing.weights, weight: 1 },
      ...viewing.others.map(({ weights, weight }) => ({ weights, weight })),
    ],
    surface: viewing.surface,
    sheen: viewing.sheen,
  };
}

/** The coats of a plan over the grounds of parts, each part with its own. */
export function coatsOnParts(
  plan: ColourCoats,
  parts: readonly OwnCoats[],
  grounds: readonly Float64Array[],
): Finish {
  return coatsOver(
    commonWet(plan),
    grounds,
    parts.map((part) => moreWet(plan, part)),
  );
}
