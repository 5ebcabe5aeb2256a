import * as v from "valibot";
import { blendOf } from "../../src/coating/blend.ts";
import { Eye } from "../../src/coating/eye.ts";
import { groundReflectance } from "../../src/coating/paintedPart.ts";
import { differenceOf } from "../../src/colour/difference.ts";
import { defineCell } from "../../src/graph/defineCell.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { filmReflectanceInto, reflectivityInto } from "../../src/optics/film.ts";
import type { Basecoat } from "../../src/ports/basecoat.ts";
import type { ColourCoats } from "../../src/ports/coatPlan.ts";
import type { PigmentSet } from "../../src/ports/pigmentSet.ts";
import type { Recipe, RecipePreview } from "../../src/ports/recipe.ts";
import { recipeQuantities } from "../../src/ports/recipeQuantities.ts";
import { eyeConditions, seeTarget } from "../../src/ports/seenTarget.ts";
import type { Substrate } from "../../src/ports/substrate.ts";
import type { Target } from "../../src/ports/target.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import type { FitResult } from "../../src/solve/fitAmounts.ts";

export interface RecipeInputs {
  pigments: PigmentSet;
  target: Target | undefined;
  viewing: Viewing | undefined;
  basecoat: Basecoat | undefined;
  plan: ColourCoats | undefined;
  parts: Substrate[];
}

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

export const recipe = defineCell<RecipeInputs>()({
  kind: "recipe",
  label: "Recipe",
  about:
    "Pastes and binder in mL, set by hand or fitted to the target over the real ground and coats. " +
    "The colour follows every change.",
  source: "Mixing by dry volume: Duncan 1940 (from memory); fit: constrained least squares",
  inputs: {
    pigments: { type: "pigment-set", label: "Pigment set" },
    target: { type: "target", label: "Target", optional: true },
    viewing: { type: "viewing", label: "Viewing", optional: true },
    basecoat: { type: "basecoat", label: "Basecoat", optional: true },
    plan: { type: "coat-plan", label: "Coat plan", optional: true },
    parts: { type: "substrate", label: "Parts", optional: true, many: true },
  },
  output: "recipe",
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
  },
  compute: (inputs, { amounts, maxLoading }, { note }): Recipe => {
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
    return {
      components,
      volumes,
      ...blend,
      maxLoading: maxLoading / 100,
      preview: previewOf(blend, inputs),
      available: pigments.components,
    };
  },
  actions: {
    fit: {
      label: "Fit to target",
      run: async (
        { pigments, target, viewing, basecoat, plan, parts = [] },
        { amounts, maxLoading },
        context,
      ) => {
        if (!pigments) throw new InputError("Link a pigment set first", { field: "pigments" });
        if (!target) throw new InputError("Link a target first", { field: "target" });
        if (!viewing) throw new InputError("Link a viewing cell first", { field: "viewing" });
        const components = amounts.map(({ component }) => componentOf(pigments, component));
        const binderIndex = components.findIndex((component) => component.role === "binder");
        if (binderIndex < 0 || components.length < 2) {
          throw new InputError("A fit needs a binder and at least one paste among the amounts", {
            field: "amounts",
            wayOut: "Add the pastes to try; their amounts may stand at 0",
          });
        }
        const seen = seeTarget(target, viewing);
        const total = amounts.reduce((sum, { volume }) => sum + volume, 0) || 100;
        const grounds = parts.map((part) => groundReflectance(part.internal, filmOf(basecoat)));
        const { status, volumes, notes } = await context.run<FitResult>("fit-amounts", {
          components,
          binderIndex,
          startVolumes: Float64Array.from(amounts, ({ volume }) => volume),
          limits: { maxLoading: maxLoading / 100 },
          finish:
            plan && grounds.length > 0
              ? {
                  kind: "coats",
                  wetThickness: plan.wetThicknesses.reduce((sum, wet) => sum + wet, 0),
                  grounds,
                }
              : { kind: "opaque" },
          target: seen.reflectance
            ? { kind: "spectrum", seen: seen.reflectance }
            : { kind: "lab", Lab: seen.Lab },
          lights: [
            { weights: viewing.weights, weight: 1 },
            ...viewing.others.map(({ weights, weight }) => ({ weights, weight })),
          ],
          surface: viewing.surface,
          sheen: viewing.sheen,
        });
        if (status === "infeasible") {
          throw new InputError(`No amounts meet the limits: ${notes.join("; ")}`, {
            field: "maxLoading",
            wayOut: "Loosen the limits or take other pastes",
          });
        }
        const sum = volumes.reduce((a, b) => a + b, 0);
        // To a tenth of a microlitre: finer than any dispenser, and readable in the file.
        const rounded = (volume: number) => Math.round((volume / sum) * total * 1e4) / 1e4;
        return {
          amounts: amounts.map(({ component }, index) => ({ component, volume: rounded(volumes[index]) })),
        };
      },
    },
  },
  view: () => import("./view.ts"),
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

function componentOf(pigments: PigmentSet, id: string) {
  const component = pigments.components.find((candidate) => candidate.id === id);
  if (component) return component;
  throw new InputError(`The set "${pigments.name}" has no component "${id}"`, {
    field: "amounts",
    wayOut: "Put it back on the shelf, or remove it from the recipe",
  });
}

function filmOf(basecoat: Basecoat | undefined) {
  return basecoat && basecoat.coats > 0 ? basecoat : undefined;
}

function previewOf(
  { absorption, scattering, mix }: Pick<Recipe, "absorption" | "scattering" | "mix">,
  { target, viewing, basecoat, plan, parts }: RecipeInputs,
): RecipePreview | undefined {
  if (!viewing) return undefined;
  const eye = new Eye(eyeConditions(viewing));
  const difference = differenceOf(viewing.formula);
  const internal = new Float64Array(absorption.length);
  reflectivityInto(absorption, scattering, internal);
  const opaque = eye.see(internal);
  const seen = target && seeTarget(target, viewing);
  let worst: RecipePreview["worst"];
  if (seen && plan) {
    const dry = plan.wetThicknesses.reduce((sum, wet) => sum + wet, 0) * mix.volumeSolids;
    for (const part of parts) {
      filmReflectanceInto(
        absorption,
        scattering,
        dry,
        groundReflectance(part.internal, filmOf(basecoat)),
        internal,
      );
      const painted = eye.see(internal);
      const d = difference(seen.Lab, painted.Lab);
      if (!worst || d > worst.difference) worst = { part: part.name, seen: painted, difference: d };
    }
  }
  return { opaque, target: seen, opaqueDifference: seen && difference(seen.Lab, opaque.Lab), worst };
}
