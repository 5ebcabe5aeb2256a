import { loadedLater } from "../../src/graph/loadedLater.ts";
import { differenceText, percentText } from "../../src/graph/numbers.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { difference, share } from "../../src/ports/quantities.ts";
import type { RatedBlend, ThreePaints } from "./model/compute.ts";
import { parameters } from "./model/parameters.ts";

export type { RatedBlend, ThreePaints } from "./model/compute.ts";

export const threePaints = defineCell({
  kind: "three-paints",
  label: "Three base paints",
  about:
    "All blends of three base paints as a triangle map of ΔE of the worst part, in shares of the wet volume. " +
    "Press a place to pour that blend; a corner is one paint alone, an edge two of them.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  parameters,
  // The arithmetic is loaded with the first such cell, so that the page starts without it.
  compute: loadedLater(async () => (await import("./model/compute.ts")).compute),
  verdict: ({ paints, best, bestOfTwo, current, coverage }: ThreePaints) => {
    const { formula, tolerance } = coverage.viewing;
    const blend = ({ shares }: RatedBlend) =>
      paints
        .flatMap(({ name }, k) => (shares[k] < 0.0005 ? [] : [`${percentText(shares[k])} ${name}`]))
        .join(", ");
    const figure = `${formula} ${differenceText(best.difference)}`;
    const two = differenceText(bestOfTwo.difference);
    return {
      text:
        `Best: ${blend(best)}, ${figure}. ` +
        (bestOfTwo.difference - best.difference < 0.05
          ? `Two paints do as well: ${blend(bestOfTwo)}, ${two}. `
          : `The best of two paints is ${blend(bestOfTwo)}: ${two}. `) +
        `Now: ${differenceText(current.difference)}${current.difference <= tolerance ? ", passes" : ""}.`,
      figure,
    };
  },
  summarise: ({ paints, best, bestOfTwo, current }: ThreePaints) => ({
    paints: paints.map(({ name }) => name),
    best: plain(best),
    bestOfTwo: plain(bestOfTwo),
    current: plain(current),
  }),
  quantities: ({ paints, best, bestOfTwo, current, coverage }: ThreePaints) => {
    const { formula } = coverage.viewing;
    return [
      difference("best-difference", `${formula} with the best blend of three`, best.difference),
      difference("two-difference", `${formula} with the best blend of two of them`, bestOfTwo.difference),
      difference("difference", `${formula} with the blend as it is now`, current.difference),
      ...paints.map(({ id, name }, k) => share(`best-${id}`, `best share of ${name}`, best.shares[k], 0)),
    ];
  },
});

export default threePaints;

const plain = ({ shares, difference }: RatedBlend) => ({ shares, difference });
