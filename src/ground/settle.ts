import { atLeastZero } from "../colour/checks.ts";
import { sumOf } from "../fit/sumOf.ts";
import { costOf } from "../recipes/costOf.ts";
import type { Balance } from "../recipes/fitAmounts.ts";
import { plannedPoint } from "./job.ts";
import { RatioRefitter, type RefitRequest, type RefittedAt, refittedCurve } from "./refittedRatio.ts";
import { type FilmBuildSpread, usualSpread } from "./spread.ts";
import { ExpectedDifference } from "./thicknessProof.ts";

export interface SettleRequest extends RefitRequest {
  /** Film-build variation, 20 % (1σ) when left out. */
  readonly spread?: FilmBuildSpread;
  /** Ratios whose fitted objective is within this of the best count as equal; ΔE00 0.05 when left out. */
  readonly asGood?: number;
  readonly balance?: Balance;
}

/** A blend with the recipe fitted to it, and how it fares. */
interface SettledAt extends RefittedAt {
  /** Difference of the worst part in the job's formula, films as planned … */
  readonly difference: number;
  /** … and on average under an uneven hand. */
  readonly expected: number;
  /** Price of what lies on one square metre, basecoat and colour; undefined where a component has none. */
  readonly cost: number | undefined;
}

export interface Settled extends SettledAt {
  /** The blend with the least fitted objective. */
  readonly best: SettledAt;
  /** Lowest and highest ratio that count as equal to it. */
  readonly equal: readonly [number, number];
  /** What decided among them. */
  readonly decidedBy: "difference" | "thickness" | "cost";
}

/** Blends are weighed in whole parts of a hundred. */
const steps = 100;
/** Expected differences closer than this are equal, and the price decides. */
const asSafe = 0.01;

/**
 * The blend and the recipe that belong together: the recipe is fitted anew at every whole per cent. Of the blends that come
 * within a little of the best, the thickness-proof one wins; of those that are as safe, the cheapest. What blend and recipe are
 * now does not count, so that the same job always settles at the same place.
 *
 * @throws TypeError, RangeError for a job that cannot be computed, or rules that no recipe keeps
 */
export function settle(request: SettleRequest): Settled {
  const { asGood = 0.05, balance } = request;
  atLeastZero("what counts as equal", asGood, "ΔE00");
  const refitter = new RatioRefitter(request);
  const rough = refittedCurve(refitter, steps + 1).points;
  const least = Math.min(...rough.map(({ objective }) => objective));
  // The rough curve is a little above the true one; what it may hide is looked at too.
  const near = rough
    .filter(({ objective }) => objective <= least + 2 * asGood)
    .map(({ ratio, volumes }) => refitter.polished(ratio, volumes));
  const best = near.reduce((p, q) => (q.objective < p.objective ? q : p));
  const equals = near
    .filter(({ objective }) => objective <= best.objective + asGood)
    .map((point) => rated(request, refitter, point));
  const safest = Math.min(...equals.map(({ expected }) => expected));
  const safe = equals.filter(({ expected }) => expected <= safest + asSafe);
  const price = ({ cost }: SettledAt): number => cost ?? 0;
  const [first] = safe.sort((p, q) => price(p) - price(q) || p.expected - q.expected);
  const ratedBest = equals.find(({ ratio }) => ratio === best.ratio)!;
  const volumes = balance ? refitter.rounded(first.ratio, first.volumes, balance) : first.volumes;
  return {
    ...(balance
      ? rated(request, refitter, {
          ratio: first.ratio,
          volumes,
          objective: refitter.objectiveAt(first.ratio, volumes),
        })
      : first),
    best: ratedBest,
    equal: [equals[0].ratio, equals[equals.length - 1].ratio],
    decidedBy: first === ratedBest ? "difference" : first.expected > safest + 1e-12 ? "cost" : "thickness",
  };
}

function rated(
  { job, spread = usualSpread, thirdShare }: SettleRequest,
  refitter: RatioRefitter,
  point: RefittedAt,
): SettledAt {
  const { ratio, volumes } = point;
  const { components } = job.recipe;
  const own = { ...job, recipe: { components, volumes } };
  const rest = job.paints.length > 2 ? 1 - thirdShare : 1;
  const shares = [rest * (1 - ratio), rest * ratio, thirdShare].slice(0, job.paints.length);
  const base = job.basecoatWet > 0 ? costOf(job.paints, shares) : 0;
  const colour = costOf(components, volumes);
  return {
    ...point,
    difference: refitter.differenceAt(ratio, volumes),
    expected: new ExpectedDifference(own, spread, plannedPoint(own, ratio, thirdShare)).at(ratio),
    // 1 m² · 1 µm = 1 mL
    cost:
      base === undefined || colour === undefined
        ? undefined
        : job.basecoatWet * base + ((sumOf(job.coatWets) + (job.more?.mean ?? 0)) * colour) / 100,
  };
}
