import { loadedLater } from "../../src/graph/loadedLater.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import type { JointPlans } from "./model/compute.ts";
import { parameters } from "./model/parameters.ts";

export type { JointPlans, PlanPreview } from "./model/compute.ts";

export const jointPlanCell = defineCell({
  kind: "joint-plan",
  label: "Plan it all together",
  about:
    "Basecoat ratio, recipe and coats found together: the least wet volume in mL, or the least cost, that keeps ΔE00 of every part " +
    "within the tolerance in every light. Shows what each further litre buys, and sets the three cells for you.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  parameters,
  // The arithmetic is loaded with the first such cell, so that the page starts without it.
  compute: loadedLater(async () => (await import("./model/compute.ts")).compute),
  actions: {
    plan: {
      label: "Find plans",
      run: async ({ coverage }, p, context) => {
        const { findPlans } = await import("./model/compute.ts");
        return { found: await findPlans(coverage, p, context) };
      },
    },
  },
  summarise: ({ previews, isStale, current }: JointPlans) => ({
    isStale,
    current,
    plans: previews.map(
      (preview) =>
        preview && {
          worst: preview.parts[preview.worst].name,
          difference: preview.parts[preview.worst].difference,
        },
    ),
  }),
  quantities: ({ current }: JointPlans) => [
    amount("litres", "colour and basecoat to spray as planned now", current.litres, "L", 2),
    difference("difference", "ΔE00 of the worst part as planned now", current.difference),
  ],
});

export default jointPlanCell;
