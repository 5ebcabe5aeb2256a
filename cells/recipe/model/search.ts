import * as v from "valibot";
import type { ComputeContext } from "../../../src/graph/defineCell.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import { signatureOf } from "../../../src/graph/signature.ts";
import { searchTask } from "../../../src/recipes/longTasks.ts";
import type { SearchRequest } from "../../../src/recipes/search.ts";
import { lightNames, matchSetting, type RecipeInputs, type Rule } from "./match.ts";

const amount = v.strictObject({
  component: v.string(),
  volume: v.pipe(v.number(), v.minValue(0), v.maxValue(100_000)),
});

/** A recipe that a search found, as kept in the notebook. */
const foundRecipe = v.strictObject({
  amounts: v.pipe(v.array(amount), v.maxLength(40)),
  difference: v.number(),
  worstPart: v.string(),
  /** ΔE00 on the worst part in each light, main light first. */
  inLights: v.array(v.number()),
  metamerism: v.array(v.number()),
  cost: v.nullable(v.number()),
  robustness: v.number(),
  reason: v.string(),
  warnings: v.array(v.string()),
  /** Other choices of pastes whose recipes are all but the same. */
  similar: v.array(v.array(v.string())),
});
export type FoundRecipe = v.InferOutput<typeof foundRecipe>;

/** The short list of the last search, with what tells whether it still fits. */
export const foundSchema = v.nullable(
  v.strictObject({
    signature: v.string(),
    lights: v.array(v.string()),
    choices: v.number(),
    ruledOut: v.number(),
    recipes: v.pipe(v.array(foundRecipe), v.maxLength(40)),
  }),
);
export type Found = NonNullable<v.InferOutput<typeof foundSchema>>;

interface SearchSettings {
  readonly maxLoading: number;
  readonly maxPastes: number;
  readonly leastDose: number;
  readonly rules: readonly Rule[];
}

/** What a search would be asked now. */
export function searchRequest(inputs: Partial<RecipeInputs>, settings: SearchSettings): SearchRequest {
  const { pigments, viewing, parts = [] } = inputs;
  if (!pigments)
    throw new InputError("There are no pastes", { field: "pigments", wayOut: "Link a pigment set" });
  const components = pigments.components.filter(
    ({ id, role }, _, all) =>
      role !== "base paint" &&
      // One binder fills the mix up; a second one would be no paste.
      (role === "paste" || all.find((other) => other.role === "binder")?.id === id),
  );
  const { maxLoading, maxPastes, leastDose, rules } = settings;
  const setting = matchSetting(inputs, components, maxLoading, rules);
  const indices = (use: Rule["use"]) =>
    components.flatMap(({ id, role }, index) =>
      role === "paste" && rules.some((rule) => rule.component === id && rule.use === use) ? [index] : [],
    );
  const required = indices("always");
  const excluded = indices("never");
  if (required.length > maxPastes) {
    throw new InputError(`${required.length} pastes are required, but a recipe may hold ${maxPastes}`, {
      field: "maxPastes",
      wayOut: "Allow more pastes or require fewer",
    });
  }
  if (excluded.length === components.length - 1) {
    throw new InputError("No paste is left to choose from", {
      field: "rules",
      wayOut: "Allow at least one paste",
    });
  }
  return {
    ...setting,
    maxPastes,
    leastDose,
    required,
    excluded,
    seed: 1,
    groundNames: parts.map((part) => part.name),
    lightNames: viewing ? lightNames(viewing) : undefined,
  };
}

/** Fingerprint of a search; it changes with everything that can change its answer. */
export function searchSignature(request: SearchRequest): string {
  return signatureOf({ ...request, groundNames: undefined, lightNames: undefined });
}

/** Search every combination and give the short list in the form kept in the notebook. */
export async function search(
  inputs: Partial<RecipeInputs>,
  settings: SearchSettings,
  context: ComputeContext,
): Promise<Found> {
  const request = searchRequest(inputs, settings);
  const result = await context.run(searchTask, request);
  if (result.status === "infeasible" || result.candidates.length === 0) {
    throw new InputError(`No recipe keeps these limits: ${result.notes.join("; ")}`, {
      field: "rules",
      wayOut: "Loosen the limits, the required pastes or the least dose",
    });
  }
  const { components, groundNames = [] } = request;
  return {
    signature: searchSignature(request),
    lights: inputs.viewing ? lightNames(inputs.viewing) : [],
    choices: result.subsets,
    ruledOut: result.pruned,
    recipes: result.candidates.map((candidate) => ({
      amounts: components.flatMap(({ id, role }, index) =>
        candidate.volumes[index] > 0 || role === "binder"
          ? [{ component: id, volume: Math.round(candidate.volumes[index] * 1e4) / 1e4 }]
          : [],
      ),
      difference: candidate.mainDifference,
      worstPart: groundNames[candidate.worstGround] ?? "",
      inLights: [...candidate.differences[candidate.worstGround]],
      metamerism: [...candidate.metamerism],
      cost: candidate.cost ?? null,
      robustness: candidate.robustness,
      reason: candidate.reason,
      warnings: [...candidate.warnings],
      similar: candidate.similar.map((pastes) => pastes.map((index) => components[index].name)),
    })),
  };
}
