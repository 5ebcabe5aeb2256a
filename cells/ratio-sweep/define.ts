import { inParts } from "../../src/coating/blend.ts";
import { loadedLater } from "../../src/graph/loadedLater.ts";
import { differenceText, percentText } from "../../src/graph/numbers.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { difference, share } from "../../src/ports/quantities.ts";
import type { SweptRatio } from "./model/sweep.ts";

export type { SweptRatio } from "./model/sweep.ts";

export const ratioSweep = defineCell({
  kind: "ratio-sweep",
  label: "Ratio sweep",
  about:
    "The colour difference of the worst part against the basecoat ratio, with the recipe fitted anew to every blend and with " +
    "the recipe as it is. Shows the best ratio, how far it may drift before the eye can tell, and settles blend and recipe together.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  tells: ["blends", "colour"],
  parameters: {
    points: { type: "number", label: "Points", whole: true, min: 11, max: 401, step: 10, initial: 101 },
    margin: {
      type: "number",
      label: "Flat region within",
      unit: "ΔE of the best",
      min: 0.05,
      max: 5,
      step: 0.05,
      initial: 0.3,
    },
  },
  // The arithmetic is loaded with the first such cell, so that the page starts without it.
  compute: loadedLater(async () => (await import("./model/sweep.ts")).sweep),
  actions: {
    settle: {
      label: "Settle blend and recipe",
      run: async ({ coverage }, _, context) =>
        (await import("./model/together.ts")).settleBoth(coverage, context),
    },
  },
  advice: ({ together: fitted }: SweptRatio) =>
    fitted?.gains
      ? { action: "settle", why: "the recipe fitted anew, and the blend that suits it best, in one step" }
      : undefined,
  verdict: ({ best, flat, current, coverage, together }: SweptRatio) => {
    const { formula, tolerance } = coverage.viewing;
    const [first, second] = coverage.basecoat?.paints ?? [];
    const figure = inParts((together?.best ?? best).ratio);
    return {
      text:
        (together
          ? `Best: ${figure} of ${first?.name} and ${second?.name} with the recipe fitted to it, ${formula} ${differenceText(together.best.difference)}. With the recipe as it is, `
          : "Best: ") +
        `${inParts(best.ratio)} of ${first?.name} and ${second?.name}, ${formula} ${differenceText(best.difference)}. ` +
        `From ${percentText(flat[0])} to ${percentText(flat[1])} of ${second?.name} the eye hardly tells. ` +
        (best.difference > tolerance
          ? "No ratio passes with these coats and this recipe."
          : `Now: ${percentText(current.ratio)}, ${formula} ${differenceText(current.difference)}.`),
      figure,
    };
  },
  summarise: ({ best, flat, current, ratios, worst, together: fitted }: SweptRatio) => ({
    best,
    refitted: fitted && { best: fitted.best, here: fitted.refittedHere, apart: fitted.apart },
    flat,
    current,
    curve: [...ratios].map((ratio, index) => [ratio, worst[index]]),
  }),
  quantities: ({ best, flat, current, worst, coverage, together: fitted }: SweptRatio) => {
    const { formula } = coverage.viewing;
    const [first, second] = coverage.basecoat?.paints ?? [];
    return [
      share("best-ratio", `best share of ${second?.name}`, best.ratio, 0),
      difference("best-difference", `${formula} with the best blend`, best.difference),
      ...(fitted
        ? [
            share(
              "refitted-ratio",
              `best share of ${second?.name}, recipe fitted anew`,
              fitted.best.ratio,
              0,
            ),
            difference(
              "refitted-difference",
              `${formula} with the best blend, recipe fitted anew`,
              fitted.best.difference,
            ),
          ]
        : []),
      share("flat-from", "lowest share the eye hardly tells from the best", flat[0], 0),
      share("flat-to", "highest share the eye hardly tells from the best", flat[1], 0),
      share("flat-width", "width of the flat region", flat[1] - flat[0], 0),
      share("ratio", `share of ${second?.name} now`, current.ratio, 0),
      difference("difference", `${formula} with the blend as it is now`, current.difference),
      difference("first-difference", `${formula} with ${first?.name} alone`, worst[0]),
      difference("second-difference", `${formula} with ${second?.name} alone`, worst[worst.length - 1]),
    ];
  },
});

export default ratioSweep;
