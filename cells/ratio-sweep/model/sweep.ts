import { range90 } from "../../../src/fit/quantiles.ts";
import { GroundChain } from "../../../src/ground/chain.ts";
import type { GroundJob, GroundPoint } from "../../../src/ground/job.ts";
import { bestNear, flatRegion } from "../../../src/ground/ratio.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { groundJobOf, groundPointOf, withGround } from "../../../src/ports/groundJob.ts";
import { doubtfulComponents, isDoubtful } from "../../../src/recipes/coefficientDoubt.ts";
import { type Together, together } from "./together.ts";

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

export function sweep(
  { coverage }: { coverage: Coverage },
  { points, margin }: { points: number; margin: number },
  { id, note }: { id: string; note(text: string): void },
): SweptRatio {
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
}

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
