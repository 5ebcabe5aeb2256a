import * as v from "valibot";
import type { Component } from "../../../src/coating/component.ts";
import { leastDoseWords } from "../../../src/coating/leastDose.ts";
import type { ActionContext } from "../../../src/graph/defineCell.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import { signatureOf } from "../../../src/graph/signature.ts";
import type { FitRequest } from "../../../src/recipes/fitAmounts.ts";
import type { LimitCost } from "../../../src/recipes/limitCosts.ts";
import { fitTask } from "../../../src/recipes/longTasks.ts";
import { amountLimits, matchSetting, type RecipeInputs, type Rule } from "./match.ts";

/** Limits that the last fit ran into, with what tells whether they are still those of the recipe. */
export const fittedSchema = v.nullable(
  v.strictObject({
    signature: v.string(),
    limits: v.pipe(
      v.array(
        v.strictObject({
          limit: v.picklist(["loading", "least dose", "most", "balance"]),
          component: v.string(),
          cost: v.number(),
          differenceWithout: v.number(),
        }),
      ),
      v.maxLength(50),
    ),
    difference: v.number(),
  }),
);
export type Fitted = NonNullable<v.InferOutput<typeof fittedSchema>>;

interface FitSettings {
  readonly maxLoading: number;
  readonly leastDose: number;
  readonly balanceStep: number;
  readonly rules: readonly Rule[];
}

/** What a fit of given amounts would be asked now. */
function fitRequest(
  inputs: Partial<RecipeInputs>,
  components: readonly Component[],
  amounts: readonly { readonly volume: number }[],
  { maxLoading, leastDose, balanceStep, rules }: FitSettings,
): FitRequest {
  return {
    ...matchSetting(inputs, components, maxLoading, rules),
    limits: amountLimits(components, maxLoading, leastDose, rules),
    leastDose,
    balance: {
      batch: amounts.reduce((sum, { volume }) => sum + volume, 0) || 100,
      step: balanceStep,
    },
    startVolumes: Float64Array.from(amounts, ({ volume }) => volume),
  };
}

/** Amounts fitted to the target within the rules of the cell, and the limits they run into. */
export async function fitWithin(
  inputs: Partial<RecipeInputs>,
  components: readonly Component[],
  amounts: readonly { readonly component: string; readonly volume: number }[],
  settings: FitSettings,
  context: ActionContext,
) {
  const request = fitRequest(inputs, components, amounts, settings);
  const { status, volumes, notes, limitCosts, differences } = await context.run(fitTask, request);
  if (status === "infeasible") {
    throw new InputError(`No amounts meet the limits: ${notes.join("; ")}`, {
      field: "maxLoading",
      wayOut: "Loosen the limits or take other pastes",
    });
  }
  const total = request.balance!.batch;
  const sum = volumes.reduce((a, b) => a + b, 0);
  // To a tenth of a microlitre: finer than any dispenser, and readable in the file.
  const rounded = (volume: number) => Math.round((volume / sum) * total * 1e4) / 1e4;
  const fittedAmounts = amounts.map(({ component }, index) => ({
    component,
    volume: rounded(volumes[index]),
  }));
  const fitted: Fitted = {
    signature: signatureOf(fitRequest(inputs, components, fittedAmounts, settings)),
    limits: limitCosts.map(({ limit, component, cost, differenceWithout }) => ({
      limit,
      component: component === undefined ? "" : components[component].name,
      cost,
      differenceWithout,
    })),
    difference: Math.max(...differences.map((row) => row[0])),
  };
  return { amounts: fittedAmounts, fitted };
}

/** The limits of the last fit in words, while the recipe and all it was fitted to are as they were. */
export function limitWords(
  fitted: Fitted | null,
  inputs: Partial<RecipeInputs>,
  components: readonly Component[],
  amounts: readonly { readonly volume: number }[],
  settings: FitSettings,
): string[] {
  if (!fitted || fitted.limits.length === 0) return [];
  try {
    if (signatureOf(fitRequest(inputs, components, amounts, settings)) !== fitted.signature) return [];
  } catch {
    return [];
  }
  const names: Record<LimitCost["limit"], (component: string) => string> = {
    loading: () => `the greatest pigment loading of ${settings.maxLoading} %`,
    "least dose": () => leastDoseWords(components, settings.leastDose),
    most: (component) => `the greatest amount of ${component}`,
    balance: () => `the steps of the balance of ${settings.balanceStep} g`,
  };
  return fitted.limits.map(
    ({ limit, component, cost, differenceWithout }) =>
      `The best match runs into ${names[limit](component)}. That costs ${cost.toFixed(2)} in ΔE00: ` +
      `without it the worst part would come to ${differenceWithout.toFixed(2)} instead of ${fitted.difference.toFixed(2)}.`,
  );
}
