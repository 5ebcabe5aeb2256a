import { Eye } from "../../src/coating/eye.ts";
import { type RatioSweep, RatioSweeper, type RatioSweepSetting } from "../../src/coating/ratioSweep.ts";
import { differenceOf } from "../../src/colour/difference.ts";
import { defineCell } from "../../src/graph/defineCell.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { doubtfulFilms, isDoubtful, range90 } from "../../src/ports/coefficientDoubt.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { difference, share } from "../../src/ports/quantities.ts";
import { eyeConditions } from "../../src/ports/seenTarget.ts";

/** Difference to the target over the whole range of the basecoat ratio. */
export interface SweptRatio extends RatioSweep {
  readonly coverage: Coverage;
  readonly best: { readonly ratio: number; readonly difference: number };
  /** Ratios between which the difference stays within the margin of the best. */
  readonly flat: readonly [number, number];
  readonly current: { readonly ratio: number; readonly difference: number };
  /** What the doubt of the recipe's K and S leaves, 90 %, at each ratio; undefined when none is known. */
  readonly band: { readonly low: Float64Array; readonly high: Float64Array } | undefined;
}

/** Draws of K and S behind the band, and the ratios at which they are looked at. */
const draws = 32;
const bandPoints = 26;

export const ratioSweep = defineCell<{ coverage: Coverage }>()({
  kind: "ratio-sweep",
  label: "Ratio sweep",
  about:
    "The colour difference of the worst part against the basecoat ratio, with the colours it gives. " +
    "Shows the best ratio and how far it may drift before the eye can tell.",
  source: "Kubelka 1948 and 1954 over every ratio; best by golden section",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  output: "ratio-sweep",
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
  compute: ({ coverage }, { points, margin }): SweptRatio => {
    const { basecoat, targetSeen, viewing, recipe, parts } = coverage;
    if (!basecoat) {
      throw new InputError("There is no basecoat to sweep", {
        field: "coverage",
        wayOut: "Link a basecoat blend to the coverage cell, with at least one coat",
      });
    }
    if (!targetSeen) {
      throw new InputError("There is no target to compare with", {
        field: "coverage",
        wayOut: "Link a target to the coverage cell",
      });
    }
    const setting: RatioSweepSetting = {
      paints: basecoat.paints,
      thirdShare: basecoat.thirdShare,
      basecoatWetThickness: basecoat.coats * basecoat.wetThickness,
      colour: {
        absorption: recipe.absorption,
        scattering: recipe.scattering,
        dryThickness: coverage.colourDryThickness,
      },
      substrates: parts.map((part) => part.substrate.internal),
      eye: new Eye(eyeConditions(viewing)),
      target: targetSeen.Lab,
      difference: differenceOf(viewing.formula),
    };
    const sweeper = new RatioSweeper(setting);
    const sweep = sweeper.sweep(points);
    const best = sweeper.best(sweep);
    return {
      ...sweep,
      coverage,
      best,
      flat: sweeper.flatRegion(best, margin),
      current: { ratio: basecoat.ratio, difference: sweeper.at(basecoat.ratio) },
      band: bandOf(coverage, setting, sweep.ratios),
    };
  },
  view: () => import("./view.ts"),
  summarise: ({ best, flat, current, ratios, worst }) => ({
    best,
    flat,
    current,
    curve: [...ratios].map((ratio, index) => [ratio, worst[index]]),
  }),
  quantities: ({ best, flat, current, worst, coverage }) => {
    const { formula } = coverage.viewing;
    const [first, second] = coverage.basecoat?.paints ?? [];
    return [
      share("best-ratio", `best share of ${second?.name}`, best.ratio, 0),
      difference("best-difference", `${formula} with the best blend`, best.difference),
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

/** The 90 % band from draws of the recipe's K and S, found at fewer ratios and joined by straight lines. */
function bandOf({ recipe }: Coverage, setting: RatioSweepSetting, ratios: Float64Array): SweptRatio["band"] {
  if (!isDoubtful(recipe.components, recipe.volumes)) return undefined;
  const curves = doubtfulFilms(recipe.components, recipe.volumes, draws, 1).map(
    (film) =>
      new RatioSweeper({ ...setting, colour: { ...film, dryThickness: setting.colour.dryThickness } }).sweep(
        bandPoints,
      ).worst,
  );
  const ranges = Array.from({ length: bandPoints }, (_, k) => range90(curves.map((curve) => curve[k])));
  const along = (side: "low" | "high") =>
    ratios.map((ratio) => {
      const place = ratio * (bandPoints - 1);
      const k = Math.min(bandPoints - 2, Math.floor(place));
      return ranges[k][side] + (place - k) * (ranges[k + 1][side] - ranges[k][side]);
    });
  return { low: along("low"), high: along("high") };
}
