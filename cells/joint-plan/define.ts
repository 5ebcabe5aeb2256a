import { loadedLater } from "../../src/graph/loadedLater.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import { plural } from "../../src/words/plural.ts";
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
  verdict: ({ coverage, current, isStale, area }: JointPlans, { found }) => {
    if (!found) return undefined;
    const { basecoats, lightCoats, heavyCoats, worst, expected, ...plan } = found.plans[found.best];
    const { tolerance } = coverage.viewing;
    const colour = [
      ...(lightCoats > 0 ? [`${lightCoats} light`] : []),
      ...(heavyCoats > 0 ? [`${heavyCoats} heavy`] : []),
    ].join(" + ");
    const coats = `${plural(basecoats, "basecoat")}, ${colour}`;
    const litres = ((plan.basecoatVolume + plan.colourVolume) / 1000).toFixed(2);
    const figure = `ΔE00 ${differenceText(worst)}`;
    return {
      text:
        (found.feasible
          ? `${found.goal === "cost" ? "Cheapest" : "Leanest"} that passes: ${coats}, ${litres} L for ${area.toFixed(2)} m², ${figure} on the worst part.`
          : `No plan passes within these limits. The nearest, ${coats}, leaves ${figure} where ${tolerance} is asked.`) +
        ` Now: ${current.litres.toFixed(2)} L to spray, ΔE00 ${differenceText(current.difference)}.` +
        (expected > tolerance
          ? ` Mind the hand: under ±20 % film build it averages ${differenceText(expected)}.`
          : "") +
        (isStale ? " All this answers an earlier question: look again." : ""),
      figure,
    };
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
