import type { Component } from "../coating/component.ts";
import type { MatchSetting } from "../recipes/fitAmounts.ts";
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
    finish: {
      kind: "coats",
      wetThickness: colourCoats.wetThicknesses.reduce((sum, wet) => sum + wet, 0),
      grounds: parts.map((part) => part.ground),
    },
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
