import { loadedLater } from "../../src/graph/loadedLater.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { difference, share } from "../../src/ports/quantities.ts";
import type { HowSure } from "./model/compute.ts";
import { parameters } from "./model/parameters.ts";

export type { HowSure } from "./model/compute.ts";

export const howSure = defineCell({
  kind: "how-sure",
  label: "How sure are we?",
  about:
    "Nobody sprays every µm as planned: the best basecoat ratio beside the safest one, as ΔE on average under an uneven hand. " +
    "Plays out many jobs with small errors and tells which error matters most, and what a spot without basecoat looks like.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  parameters,
  // The arithmetic is loaded with the first such cell, so that the page starts without it.
  compute: loadedLater(async () => (await import("./model/compute.ts")).compute),
  actions: {
    play: {
      label: "Play out many jobs",
      run: async ({ coverage }, p, context) => {
        const { play } = await import("./model/compute.ts");
        return { played: await play(coverage, p, context) };
      },
    },
    second: {
      label: "Ask for a second opinion",
      run: async ({ coverage }, _, context) => {
        const { secondOpinion } = await import("./model/compute.ts");
        return { opinion: await secondOpinion(coverage, context) };
      },
    },
  },
  verdict: ({ choice: { words } }: HowSure) => ({ text: words }),
  summarise: ({ choice, along, values, nominal, expected, ribbon, bareSpots }: HowSure) => ({
    best: choice.best,
    safest: choice.safest,
    words: choice.words,
    along,
    curve: [...values].map((value, k) => [
      value,
      nominal[k],
      expected[k],
      ribbon.low[k],
      ribbon.median[k],
      ribbon.high[k],
    ]),
    bareSpots: bareSpots.spots.map(({ name, besideRest, toTarget }) => ({ name, besideRest, toTarget })),
    leastBasecoat: bareSpots.leastBuild ?? null,
  }),
  quantities: ({ choice: { best, safest }, coverage, bareSpots }: HowSure) => {
    const { formula } = coverage.viewing;
    const second = coverage.basecoat.paints[1].name;
    return [
      share("best-ratio", `share of ${second} that is best as planned`, best.ratio, 0),
      difference("best-difference", `${formula} with it, as planned`, best.difference),
      difference("best-expected", `${formula} with it, on average under an uneven hand`, best.expected),
      share("safest-ratio", `share of ${second} that is safest`, safest.ratio, 0),
      difference("safest-difference", `${formula} with that, as planned`, safest.difference),
      difference("safest-expected", `${formula} with that, on average under an uneven hand`, safest.expected),
      difference(
        "bare-spot",
        "ΔE00 of the spot without basecoat that shows most",
        bareSpots.spots[bareSpots.worst].besideRest,
      ),
      {
        ...share("least-basecoat", "share of the planned basecoat that still does", bareSpots.leastBuild, 0),
        none: "none: it does not pass as planned",
      },
    ];
  },
});

export default howSure;
