import { inParts } from "../../src/coating/blend.ts";
import { range90 } from "../../src/fit/quantiles.ts";
import { differenceText, percentText } from "../../src/graph/numbers.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import type { GroundJob, GroundPoint } from "../../src/ground/job.ts";
import { bestNear, flatRegion } from "../../src/ground/ratio.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { groundJobOf, groundPointOf, withGround } from "../../src/ports/groundJob.ts";
import { difference, share } from "../../src/ports/quantities.ts";
import { doubtfulComponents, isDoubtful } from "../../src/recipes/coefficientDoubt.ts";
import { gains, settleBoth, type Together, together } from "./model/together.ts";

/** Difference to the target over the whole range of the basecoat ratio. */
export interface SweptRatio {
  readonly ratios: Float64Array;
  /** Difference to the target for each part at each ratio. */
  readonly differences: readonly Float64Array[];
  /** The greatest of them at each ratio, and the tristimulus values of that part. */
  readonly worst: Float64Array;
  readonly colours: Float64Array;
  readonly coverage: Coverage;
  readonly best: { readonly ratio: number; readonly difference: number };
  /** Ratios between which the difference stays within the margin of the best. */
  readonly flat: readonly [number, number];
  readonly current: { readonly ratio: number; readonly difference: number };
  /** The same with the recipe fitted anew to every blend; undefined where there is nothing to fit. */
  readonly together: Together | undefined;
  /** What the doubt of the recipe's K and S leaves, 90 %, at each ratio; undefined when none is known. */
  readonly band: { readonly low: Float64Array; readonly high: Float64Array } | undefined;
}

/** Draws of K and S behind the band, and the ratios at which they are looked at. */
const draws = 32;
const bandPoints = 26;

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
  compute: ({ coverage }, { points, margin }, { id, note }): SweptRatio => {
    const grounded = withGround(coverage);
    const job = groundJobOf(grounded);
    const point = groundPointOf(grounded, job);
    const chain = new GroundChain(job);
    const at = (ratio: number) => chain.at({ ...point, ratio });
    const ratios = Float64Array.from({ length: points }, (_, k) => k / (points - 1));
    const colours = new Float64Array(3 * points);
    const differences = job.substrates.map(() => new Float64Array(points));
    const worst = ratios.map((ratio, k) => {
      const most = at(ratio);
      colours.set(chain.XYZs.subarray(3 * chain.worstPart, 3 * chain.worstPart + 3), 3 * k);
      differences.forEach((part, p) => {
        part[k] = chain.differences[p];
      });
      return most;
    });
    const best = bestNear(at, ratios, worst);
    const fitted = together(grounded, id);
    if (typeof fitted === "string") note(`The recipe cannot be fitted anew: ${fitted}`);
    return {
      ...{ ratios, differences, worst, colours, coverage, best },
      flat: flatRegion(at, best, margin),
      current: { ratio: point.ratio, difference: at(point.ratio) },
      together: typeof fitted === "string" ? undefined : fitted,
      band: bandOf(job, point, ratios),
    };
  },
  actions: {
    settle: {
      label: "Settle blend and recipe",
      run: ({ coverage }, _, context) => settleBoth(coverage, context),
    },
  },
  advice: ({ together: fitted }) =>
    fitted && gains(fitted)
      ? { action: "settle", why: "the recipe fitted anew, and the blend that suits it best, in one step" }
      : undefined,
  verdict: ({ best, flat, current, coverage, together }) => {
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
  summarise: ({ best, flat, current, ratios, worst, together: fitted }) => ({
    best,
    refitted: fitted && { best: fitted.best, here: fitted.refittedHere, apart: fitted.apart },
    flat,
    current,
    curve: [...ratios].map((ratio, index) => [ratio, worst[index]]),
  }),
  quantities: ({ best, flat, current, worst, coverage, together: fitted }) => {
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

/** The 90 % band from draws of the recipe's K and S, found at fewer ratios and joined by straight lines. */
function bandOf(job: GroundJob, point: GroundPoint, ratios: Float64Array): SweptRatio["band"] {
  const { components, volumes } = job.recipe;
  if (!isDoubtful(components, volumes)) return undefined;
  const curves = doubtfulComponents(components, draws, 1).map((drawn) => {
    const chain = new GroundChain({ ...job, recipe: { components: drawn, volumes } });
    return Float64Array.from({ length: bandPoints }, (_, k) =>
      chain.at({ ...point, ratio: k / (bandPoints - 1) }),
    );
  });
  const ranges = Array.from({ length: bandPoints }, (_, k) =>
    range90(Float64Array.from(curves, (curve) => curve[k]).sort()),
  );
  const along = (side: "low" | "high") =>
    ratios.map((ratio) => {
      const place = ratio * (bandPoints - 1);
      const k = Math.min(bandPoints - 2, Math.floor(place));
      return ranges[k][side] + (place - k) * (ranges[k + 1][side] - ranges[k][side]);
    });
  return { low: along("low"), high: along("high") };
}
