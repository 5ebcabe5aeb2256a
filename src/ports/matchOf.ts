import type { Component } from "../coating/component.ts";
import { coatsOver, type Finish } from "../recipes/finish.ts";
import type { MatchSetting } from "../recipes/fitAmounts.ts";
import { type ColourCoats, commonWet, moreWet, type OwnCoats } from "./coatPlan.ts";
import type { Coverage } from "./coverage.ts";
import type { SeenTarget } from "./target.ts";
import type { Viewing } from "./viewing.ts";

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
    ...sightOf(viewing),
    target: targetSeen && matchTarget(targetSeen),
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

/** What a match makes of a target as seen. */
export function matchTarget({ reflectance, Lab }: SeenTarget): MatchSetting["target"] {
  return reflectance ? { kind: "spectrum", seen: reflectance } : { kind: "lab", Lab };
}

/** The lights of a viewing cell, its main one first, and the surface that is looked at. */
export function sightOf({
  weights,
  others,
  surface,
  sheen,
}: Viewing): Pick<MatchSetting, "lights" | "surface" | "sheen"> {
  return {
    lights: [
      { weights, weight: 1 },
      ...others.map((other) => ({ weights: other.weights, weight: other.weight })),
    ],
    surface,
    sheen,
  };
}
