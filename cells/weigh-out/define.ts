import { loadedLater } from "../../src/graph/loadedLater.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { type CountedDrops, dropsSchema } from "../../src/ports/drops.ts";
import { measureText } from "../../src/units/units.ts";
import type { WeighedOut } from "./model/compute.ts";

export type { WeighedOut } from "./model/compute.ts";

export const weighOut = defineCell({
  kind: "weigh-out",
  label: "Weigh out",
  about:
    "The recipe for a batch of any size, in grams on your balance or in drops from your bottles, rounded so that the colour " +
    "suffers least. Shows what the rounding costs in ΔE00, and the weights to pour up to on one balance.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  parameters: {
    batch: {
      type: "number",
      label: "Batch",
      unit: "mL",
      min: 0.5,
      max: 100_000,
      step: 10,
      digits: 1,
      initial: 250,
    },
    measure: {
      type: "choice",
      label: "Measure in",
      options: [
        { value: "grams", label: "grams on a balance" },
        { value: "drops", label: "drops, binder in grams" },
        { value: "both", label: "grams, small doses in drops" },
      ],
      initial: "grams",
    },
    step: {
      type: "choice",
      label: "The balance shows",
      options: [
        { value: "0.01", label: "0.01 g" },
        { value: "0.1", label: "0.1 g" },
        { value: "1", label: "1 g" },
      ],
      initial: "0.01",
    },
    drops: {
      type: "value",
      label: "Drops to the mL",
      help: "Count drops onto the balance; other bottles count as 20 drops to the mL.",
      schema: dropsSchema,
      initial: [] as CountedDrops,
    },
  },
  // The arithmetic is loaded with the first such cell, so that the page starts without it.
  compute: loadedLater(async () => (await import("./model/compute.ts")).compute),
  verdict: (value: WeighedOut, _, units) => {
    const { idealDifference, roundedDifference, nearestDifference, coverage, comfortableBatch, batch } =
      value;
    const figure = `ΔE00 ${differenceText(roundedDifference)}`;
    return {
      text:
        `Rounded: ${figure} ${coverage.targetSeen ? "to the target" : "from the ideal mix"} ` +
        `(ideal ${differenceText(idealDifference)}; each dose rounded by itself would give ${differenceText(nearestDifference)}).` +
        (comfortableBatch > batch * 1.001
          ? ` From ${units === "metric" ? `${Math.ceil(comfortableBatch)} mL` : measureText(comfortableBatch, "volume", units)} on no dose is smaller than ten steps.`
          : ""),
      figure,
    };
  },
  summarise: ({ doses, coverage, idealDifference, roundedDifference, grams, batch }: WeighedOut) => ({
    batch,
    grams,
    idealDifference,
    roundedDifference,
    doses: doses.map((dose) => ({
      name: coverage.recipe.components[dose.component].name,
      unit: dose.unit,
      steps: dose.steps,
      grams: dose.grams,
      cumulativeGrams: dose.cumulativeGrams,
    })),
  }),
});

export default weighOut;
