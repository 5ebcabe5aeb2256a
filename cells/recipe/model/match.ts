import * as v from "valibot";
import type { Component } from "../../../src/coating/component.ts";
import { leastDoseOf } from "../../../src/coating/leastDose.ts";
import { groundReflectance } from "../../../src/coating/paintedPart.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import type { Basecoat } from "../../../src/ports/basecoat.ts";
import type { ColourCoats } from "../../../src/ports/coatPlan.ts";
import { coatsOnParts, matchTarget, sightOf } from "../../../src/ports/matchOf.ts";
import type { PigmentSet } from "../../../src/ports/pigmentSet.ts";
import { seeTarget } from "../../../src/ports/seenTarget.ts";
import type { Substrate } from "../../../src/ports/substrate.ts";
import type { Target } from "../../../src/ports/target.ts";
import type { Viewing } from "../../../src/ports/viewing.ts";
import type { MatchSetting } from "../../../src/recipes/fitAmounts.ts";
import type { AmountLimits } from "../../../src/recipes/recipeLimits.ts";
import { labelOfIlluminant } from "../../../src/tables/illuminants.ts";

export interface RecipeInputs {
  pigments: PigmentSet;
  target: Target | undefined;
  viewing: Viewing | undefined;
  basecoat: Basecoat | undefined;
  plan: ColourCoats | undefined;
  parts: Substrate[];
}

/** How one component may be used in a search or fit. */
export const ruleSchema = v.strictObject({
  component: v.pipe(v.string(), v.maxLength(64)),
  use: v.picklist(["free", "never", "always"]),
  /** Greatest amount, mL per 100 mL of mix. */
  most: v.optional(
    v.pipe(v.number(), v.minValue(0, "0 to 100 mL is allowed"), v.maxValue(100, "0 to 100 mL is allowed")),
  ),
});
export type Rule = v.InferOutput<typeof ruleSchema>;

/** The basecoat's film, when there is one. */
export function filmOf(basecoat: Basecoat | undefined): Basecoat | undefined {
  return basecoat && basecoat.coats > 0 ? basecoat : undefined;
}

/** What is matched, over what, in which light: everything about a fit or search but the choice of pastes. */
export function matchSetting(
  { target, viewing, basecoat, plan, parts = [] }: Partial<RecipeInputs>,
  components: readonly Component[],
  maxLoading: number,
  rules: readonly Rule[],
): MatchSetting {
  if (!target)
    throw new InputError("There is no target to match", { field: "target", wayOut: "Link a target" });
  if (!viewing) {
    throw new InputError("There is no light to match in", {
      field: "viewing",
      wayOut: "Link a viewing cell",
    });
  }
  const binderIndex = components.findIndex((component) => component.role === "binder");
  if (binderIndex < 0) {
    throw new InputError("There is no binder to mix the pastes into", {
      field: "pigments",
      wayOut: "Put a binder on the shelf or among the amounts",
    });
  }
  if (!components.some((component) => component.role === "paste")) {
    throw new InputError("No paste is selected", { field: "amounts", wayOut: "Allow at least one paste" });
  }
  const grounds = parts.map((part) => groundReflectance(part.internal, filmOf(basecoat)));
  return {
    components,
    binderIndex,
    limits: {
      maxLoading: maxLoading / 100,
      max: components.map(({ id }) => rules.find((rule) => rule.component === id)?.most ?? 100),
    },
    finish: plan && grounds.length > 0 ? coatsOnParts(plan, parts, grounds) : { kind: "opaque" },
    target: matchTarget(seeTarget(target, viewing)),
    ...sightOf(viewing),
  };
}

/** Least and greatest amounts by the rules for single pastes, mL per 100 mL: for a fit, whose pastes are chosen already. */
export function amountLimits(
  components: readonly Component[],
  maxLoading: number,
  leastDose: number,
  rules: readonly Rule[],
): AmountLimits {
  const ruleOf = (id: string) => rules.find((rule) => rule.component === id);
  const isPaste = (role: Component["role"]) => role === "paste";
  return {
    maxLoading: maxLoading / 100,
    min: components.map((one) =>
      isPaste(one.role) && ruleOf(one.id)?.use === "always" ? leastDoseOf(one, leastDose) : 0,
    ),
    max: components.map(({ id, role }) =>
      isPaste(role) && ruleOf(id)?.use === "never" ? 0 : (ruleOf(id)?.most ?? 100),
    ),
  };
}

/** Names of the lights of a match, main light first. */
export function lightNames(viewing: Viewing): string[] {
  return [viewing.weights, ...viewing.others.map((other) => other.weights)].map(({ illuminant }) =>
    labelOfIlluminant(illuminant),
  );
}
