import { loadedLater } from "../../src/graph/loadedLater.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { difference } from "../../src/ports/quantities.ts";
import type { RankedGrounds } from "./model/compute.ts";
import { parameters } from "./model/parameters.ts";

export type { RankedGrounds } from "./model/compute.ts";

export const groundRanking = defineCell({
  kind: "ground-ranking",
  label: "Which paints for the ground?",
  about:
    "Every pair and triple of the base paints at hand, plain and tinted with a paste, each at its own best blend. " +
    "Ranks them by ΔE of the worst part, coats needed, how well they hide the darkest part, and cost per m².",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  parameters,
  // The arithmetic is loaded with the first such cell, so that the page starts without it.
  compute: loadedLater(async () => (await import("./model/compute.ts")).compute),
  actions: {
    rank: {
      label: "Rank every ground",
      run: async ({ coverage }, p, context) => {
        const { rank } = await import("./model/compute.ts");
        return { found: await rank(coverage, p, context) };
      },
    },
  },
  verdict: ({ coverage, isStale }: RankedGrounds, { found, order }) => {
    if (!found) return undefined;
    const best = found.grounds.find(({ places }) => places[order] === 1);
    if (!best) return { text: "No ground could be made of what is at hand." };
    const { basecoat, recipe, viewing } = coverage;
    const nameOf = (id: string) =>
      [...basecoat.available, ...recipe.available].find((component) => component.id === id)?.name ?? id;
    const reach =
      best.coats === null
        ? `it never comes within ${viewing.tolerance}`
        : `within ${viewing.tolerance} after ${best.coats} colour ${best.coats === 1 ? "coat" : "coats"}`;
    const figure = best.members.map(({ component }) => nameOf(component)).join(" + ");
    return {
      text:
        `First: ${figure}, ΔE00 ${differenceText(best.difference)}; ${reach}. Grounds that pass come before all others. ` +
        `${found.tried.toLocaleString("en-GB")} grounds were tried; ${found.reduced} of them did best without one of their members.` +
        (isStale ? " All this answers an earlier question: rank again." : ""),
      figure,
    };
  },
  summarise: ({ previews, isStale }: RankedGrounds) => ({
    isStale,
    grounds: previews.map(
      (preview) =>
        preview && {
          members: preview.members.map(({ name }) => name),
          difference: preview.worst.difference,
          on: preview.worst.part,
        },
    ),
  }),
  quantities: ({ previews, coverage }: RankedGrounds) => [
    {
      ...difference(
        "best-difference",
        `${coverage.viewing.formula} with the nearest ground found`,
        previews.length > 0
          ? Math.min(...previews.map((preview) => preview?.worst.difference ?? Number.POSITIVE_INFINITY))
          : undefined,
      ),
      none: "not known before the grounds are ranked",
    },
  ],
});

export default groundRanking;
