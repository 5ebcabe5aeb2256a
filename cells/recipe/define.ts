import * as v from "valibot";
import { blendOf } from "../../src/coating/blend.ts";
import type { Component } from "../../src/coating/component.ts";
import { beyondAnyPaint } from "../../src/coating/component.ts";
import { Eye } from "../../src/coating/eye.ts";
import { tooLittle } from "../../src/coating/leastDose.ts";
import { groundReflectance } from "../../src/coating/paintedPart.ts";
import { differenceOf } from "../../src/colour/difference.ts";
import { range90 } from "../../src/fit/quantiles.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { filmReflectanceInto, reflectivityInto } from "../../src/optics/film.ts";
import { commonWet, moreWet } from "../../src/ports/coatPlan.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import type { PigmentSet } from "../../src/ports/pigmentSet.ts";
import type { Recipe, RecipePreview } from "../../src/ports/recipe.ts";
import { recipeVerdict } from "../../src/ports/recipeVerdict.ts";
import { eyeConditions, seeTarget } from "../../src/ports/seenTarget.ts";
import { doubtfulComponents, isDoubtful } from "../../src/recipes/coefficientDoubt.ts";
import { type Fitted, fittedSchema, fitWithin, limitWords } from "./model/fit.ts";
import { amountLimits, filmOf, type RecipeInputs, type Rule, ruleSchema } from "./model/match.ts";
import { recipeQuantities } from "./model/quantities.ts";
import { type Found, foundSchema, search, searchRequest, searchSignature } from "./model/search.ts";

export type { RecipeInputs } from "./model/match.ts";

const amounts = v.pipe(
  v.array(
    v.strictObject({
      component: v.pipe(v.string(), v.maxLength(64)),
      volume: v.pipe(
        v.number(),
        v.finite(),
        v.minValue(0, "0 to 100000 mL is allowed"),
        v.maxValue(100_000, "0 to 100000 mL is allowed"),
      ),
    }),
  ),
  v.maxLength(40, "at most 40 components"),
);

/** A recipe with what its own view shows of the last search. */
export interface RecipeValue extends Recipe {
  /** True when the kept search no longer answers the question that the notebook asks now. */
  readonly foundIsStale: boolean;
  /** What the recipes of the kept search look like now, in their order. */
  readonly foundPreviews: readonly (RecipePreview | undefined)[];
  /** Limits that the fit ran into, each in words with what it costs; empty once anything it depends on has changed. */
  readonly limitWords: readonly string[];
}

export const recipe = defineCell({
  kind: "recipe",
  label: "Recipe",
  about:
    "Pastes and binder in mL, set by hand or fitted to the target over the real ground and coats. " +
    "The colour follows every change.",
  inputs: {
    pigments: { type: "pigment-set", label: "Pigment set" },
    target: { type: "target", label: "Target", optional: true },
    viewing: { type: "viewing", label: "Viewing", optional: true },
    basecoat: { type: "basecoat", label: "Basecoat", optional: true },
    plan: { type: "coat-plan", label: "Coat plan", optional: true },
    parts: { type: "substrate", label: "Parts", optional: true, many: true },
  },
  output: "recipe",
  tells: ["colour"],
  parameters: {
    amounts: {
      type: "value",
      label: "Amounts",
      schema: amounts,
      initial: [] as { component: string; volume: number }[],
    },
    maxLoading: {
      type: "number",
      label: "Greatest pigment loading",
      unit: "%",
      help: "Paste share of the wet mix by volume. Above about 25 % a flexible dye film turns brittle (common practice).",
      min: 1,
      max: 100,
      step: 1,
      initial: 25,
    },
    maxPastes: {
      type: "number",
      label: "At most",
      unit: "pastes",
      help: "Fewer pastes are easier to weigh and to repeat.",
      whole: true,
      min: 1,
      max: 6,
      step: 1,
      initial: 4,
    },
    leastDose: {
      type: "number",
      label: "Least sensible dose",
      unit: "mL per 100 mL",
      help: "Smaller doses cannot be weighed or dropped reliably.",
      min: 0,
      max: 10,
      step: 0.05,
      digits: 2,
      initial: 0.2,
    },
    rules: {
      type: "value",
      label: "Rules for single pastes",
      schema: v.pipe(v.array(ruleSchema), v.maxLength(200)),
      initial: [] as Rule[],
    },
    balanceStep: {
      type: "number",
      label: "Step of the balance",
      unit: "g",
      help: "A fit gives doses in whole steps for the mix as it stands. 0: not rounded.",
      min: 0,
      max: 10,
      step: 0.01,
      digits: 3,
      initial: 0.01,
    },
    fitted: {
      type: "value",
      label: "Limits of the last fit",
      schema: fittedSchema,
      initial: null as Fitted | null,
    },
    found: {
      type: "value",
      label: "Recipes found",
      schema: foundSchema,
      initial: null as Found | null,
    },
  },
  compute: (inputs, parameters, { note, id }): RecipeValue => {
    const { amounts, maxLoading, leastDose, balanceStep, rules, found, fitted } = parameters;
    const { pigments } = inputs;
    const components = amounts.map(({ component: id }) => componentOf(pigments, id));
    const volumes = Float64Array.from(amounts, ({ volume }) => volume);
    if (volumes.reduce((sum, volume) => sum + volume, 0) === 0) {
      throw new InputError("The mix is empty", {
        field: "amounts",
        wayOut: "Set at least one amount above 0 mL",
      });
    }
    const blend = blendOf(components, volumes);
    if (100 * blend.mix.loading > maxLoading + 1e-9) {
      note(
        `The pigment loading is ${(100 * blend.mix.loading).toFixed(1)} %, above ${maxLoading} %: add binder, ` +
          "or the film may turn brittle",
      );
    }
    for (const words of tooLittle(components, volumes)) note(words);
    return {
      components,
      volumes,
      ...blend,
      maxLoading: maxLoading / 100,
      leastDose,
      balanceStep,
      amountLimits: amountLimits(components, maxLoading, leastDose, rules),
      limitWords: limitWords(fitted, inputs, components, amounts, parameters),
      preview: previewOf(
        blend,
        inputs,
        isDoubtful(components, volumes) ? { components, volumes } : undefined,
      ),
      available: pigments.components,
      cell: id,
      foundIsStale: found !== null && isStale(found, inputs, parameters),
      foundPreviews: found?.recipes.map((recipe) => previewOfAmounts(recipe.amounts, inputs)) ?? [],
    };
  },
  actions: {
    search: {
      label: "Search every combination",
      run: async (inputs, parameters, context) => ({ found: await search(inputs, parameters, context) }),
    },
    fit: {
      label: "Fit to target",
      run: async (inputs, { amounts, ...settings }, context) => {
        const { pigments } = inputs;
        if (!pigments) throw new InputError("Link a pigment set first", { field: "pigments" });
        const components = amounts.map(({ component }) => componentOf(pigments, component));
        return fitWithin(inputs, components, amounts, settings, context);
      },
    },
  },
  verdict: recipeVerdict,
  summarise: ({ components, volumes, mix, preview }) => ({
    amounts: components.map((component, index) => ({
      name: component.name,
      millilitres: volumes[index],
      grams: volumes[index] * component.density,
    })),
    volumeSolids: mix.volumeSolids,
    loading: mix.loading,
    opaqueLab: preview && [...preview.opaque.Lab],
    opaqueDifference: preview?.opaqueDifference,
    worst: preview?.worst && { part: preview.worst.part, difference: preview.worst.difference },
  }),
  quantities: recipeQuantities,
});

export default recipe;

function componentOf(pigments: PigmentSet, id: string) {
  const component = pigments.components.find((candidate) => candidate.id === id);
  const beyond = component && beyondAnyPaint(component);
  if (beyond !== undefined) {
    throw new InputError(beyond, {
      field: "amounts",
      wayOut: "Calibrate the paste anew, or take it out of the recipe",
    });
  }
  if (component) return component;
  throw new InputError(`The set "${pigments.name}" has no component "${id}"`, {
    field: "amounts",
    wayOut: "Put it back on the shelf, or remove it from the recipe",
  });
}

/** Whether a kept search answers another question than the one the notebook would ask now. */
function isStale(found: Found, inputs: RecipeInputs, settings: Parameters<typeof searchRequest>[1]): boolean {
  try {
    return searchSignature(searchRequest(inputs, settings)) !== found.signature;
  } catch {
    return true;
  }
}

/** Undefined when a component of it is no longer on the shelf. */
function previewOfAmounts(
  amounts: readonly { component: string; volume: number }[],
  inputs: RecipeInputs,
): RecipePreview | undefined {
  const components = amounts.map(({ component: id }) => inputs.pigments.components.find((c) => c.id === id));
  if (components.some((component) => component === undefined)) return undefined;
  const volumes = amounts.map(({ volume }) => volume);
  return previewOf(blendOf(components as Component[], volumes), inputs, undefined);
}

/** Draws of K and S behind a stated range. */
const draws = 64;

function previewOf(
  { absorption, scattering, mix }: Pick<Recipe, "absorption" | "scattering" | "mix">,
  { target, viewing, basecoat, plan, parts }: RecipeInputs,
  doubtful: { components: readonly Component[]; volumes: ArrayLike<number> } | undefined,
): RecipePreview | undefined {
  if (!viewing) return undefined;
  const eye = new Eye(eyeConditions(viewing));
  const difference = differenceOf(viewing.formula);
  const internal = new Float64Array(absorption.length);
  reflectivityInto(absorption, scattering, internal);
  const opaque = eye.see(internal);
  const seen = target && seeTarget(target, viewing);
  const painted = plan
    ? parts.map((part) => ({
        ground: groundReflectance(part.internal, filmOf(basecoat)),
        dry: (commonWet(plan) + moreWet(plan, part)) * mix.volumeSolids,
      }))
    : [];
  let worst: RecipePreview["worst"];
  if (seen) {
    painted.forEach(({ ground, dry }, index) => {
      filmReflectanceInto(absorption, scattering, dry, ground, internal);
      const looks = eye.see(internal);
      const d = difference(seen.Lab, looks.Lab);
      if (!worst || d > worst.difference) worst = { part: parts[index].name, seen: looks, difference: d };
    });
  }
  let doubt: RecipePreview["doubt"];
  if (seen && doubtful) {
    const Lab = new Float64Array(3);
    const films = doubtfulComponents(doubtful.components, draws, 1).map((drawn) =>
      blendOf(drawn, doubtful.volumes),
    );
    const differences = films.map((film) => {
      const look = () => {
        eye.labOfInternal(internal, Lab);
        return difference(seen.Lab, Lab);
      };
      if (painted.length === 0) {
        reflectivityInto(film.absorption, film.scattering, internal);
        return look();
      }
      return Math.max(
        ...painted.map(({ ground, dry }) => {
          filmReflectanceInto(film.absorption, film.scattering, dry, ground, internal);
          return look();
        }),
      );
    });
    doubt = range90(Float64Array.from(differences).sort());
  }
  return {
    conditions: viewing,
    opaque,
    target: seen,
    opaqueDifference: seen && difference(seen.Lab, opaque.Lab),
    worst,
    doubt,
  };
}
