import type { JobBatch } from "../../src/job/batch.ts";
import { layerOf } from "../../src/job/batch.ts";
import { batchOf, planOf } from "../../src/job/batchOf.ts";
import { defineJobCell } from "../../src/job/defineJobCell.ts";
import { batchQuantities } from "../../src/job/jobQuantities.ts";
import { measureText } from "../../src/units/units.ts";
import { parameters, settingsFrom } from "./model/settings.ts";

export const batch = defineJobCell({
  kind: "batch",
  label: "Batch",
  about:
    "How much of every layer the job takes, in mL and g: what stays on the parts, what the spray loses, what stays in the cup. " +
    "The recipe is scaled to it, with running weights.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  output: "batch",
  parameters,
  compute: ({ coverage }, p, { note }): JobBatch => {
    const settings = settingsFrom(p);
    const batch = batchOf(planOf(coverage), settings);
    const worst = coverage.parts[coverage.worst];
    if (coverage.targetSeen && (worst.painted.difference ?? 0) > coverage.viewing.tolerance) {
      note(
        `As planned, ${worst.substrate.name} misses the target by ${coverage.viewing.formula} ` +
          `${worst.painted.difference!.toFixed(1)}: settle the colour before you mix this much`,
      );
    }
    for (const text of batch.notes) note(text);
    return { ...batch, coverage };
  },
  quantities: batchQuantities,
  verdict: (value) => {
    const { settings, pieces, surface } = value;
    const { units } = settings;
    const volume = (kind: "colour" | "basecoat", name: string) => {
      const layer = layerOf(value, kind);
      return layer ? [`${measureText(layer.quantity.ledger.dispensed, "volume", units)} of ${name}`] : [];
    };
    const amounts = [...volume("colour", "the colour"), ...volume("basecoat", "basecoat")];
    const count = `${pieces} ${pieces === 1 ? "piece" : "pieces"}`;
    return {
      text: `Mix ${amounts.join(" and ")} for ${count} with ${measureText(surface, "area", units)} to coat.`,
      figure: amounts[0],
    };
  },
  summarise: (value) => ({
    surface: value.surface,
    pieces: value.pieces,
    mixedVolume: value.mixedVolume,
    dryBuild: value.dryBuild,
    layers: value.layers.map(({ kind, coats, dryThickness, quantity, recipe, voc }) => ({
      layer: kind,
      coats: coats.length,
      dryThickness,
      ...quantity.ledger,
      mix: quantity.mixVolume,
      thinner: quantity.thinnerVolume,
      voc,
      recipe: recipe?.components.map((component, i) => ({
        name: component.name,
        millilitres: recipe.poured.amounts[i].volume,
        grams: recipe.poured.amounts[i].mass,
        runningGrams: recipe.poured.amounts[i].cumulativeMass,
      })),
    })),
    cautions: value.cautions.map(({ id }) => id),
  }),
});

export default batch;
