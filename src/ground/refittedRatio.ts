import { wholeNumber } from "../colour/checks.ts";
import { type Difference, differenceOf } from "../colour/difference.ts";
import { sumOf } from "../fit/sumOf.ts";
import type { DescentOptions } from "../fit/trustRegion.ts";
import { tellingDoses } from "../recipes/depths.ts";
import { coatsOver } from "../recipes/finish.ts";
import {
  type Balance,
  type MatchTarget,
  type PreparedMatch,
  prepareMatch,
  roundedToBalance,
  volumesOf,
} from "../recipes/fitAmounts.ts";
import type { WeightedLight } from "../recipes/forward.ts";
import { type AmountLimits, fullest } from "../recipes/recipeLimits.ts";
import { type Descended, RuledDescent } from "../recipes/ruledDescent.ts";
import { trialPoints } from "../recipes/trialPoints.ts";
import { GroundChain } from "./chain.ts";
import { type GroundJob, plannedPoint } from "./job.ts";
import { createFractions } from "./wetFilm.ts";

/** A job whose recipe is to be fitted anew for every blend, with the rules its amounts keep. Plain data. */
export interface RefitRequest {
  /** The amounts of its recipe do not matter, only which components there are. */
  readonly job: GroundJob;
  readonly binderIndex: number;
  readonly limits: AmountLimits;
  /** Least sensible dose, mL per 100 mL. */
  readonly leastDose: number;
  readonly target: MatchTarget;
  /** The main light first. */
  readonly lights: readonly WeightedLight[];
  /** Share of the third base paint, 0…1. */
  readonly thirdShare: number;
}

/** The recipe fitted at one ratio. */
export interface RefittedAt {
  readonly ratio: number;
  /** mL per 100 mL of mix, binder included. */
  readonly volumes: Float64Array;
  /** What the fit makes least: Σ weight·ΔE00 over the lights, on the part where it is greatest. */
  readonly objective: number;
}

/** The best that a recipe fitted anew can do at every ratio. */
export interface RefittedCurve {
  readonly ratios: Float64Array;
  readonly points: readonly RefittedAt[];
  /** Difference of the worst part in the job's formula and eye, at each ratio. */
  readonly differences: Float64Array;
}

const coarse: DescentOptions = { smoothings: [0.3, 0.03], maxIterations: 40 };
const follow: DescentOptions = { smoothings: [0.03, 3e-3], maxIterations: 30 };
const fine: DescentOptions = { smoothings: [0.1, 0.01, 1e-3, 1e-4], maxIterations: 120 };
const trials = 48;
const descents = 4;

/**
 * Fits the recipe of a job anew for one blend after another. Holds its films and its work space, so that another ratio costs
 * one basecoat for each part.
 */
export class RatioRefitter {
  readonly request: RefitRequest;
  readonly #chain: GroundChain;
  readonly #match: PreparedMatch;
  readonly #descent: RuledDescent;
  readonly #grounds: readonly Float64Array[];
  readonly #trials: readonly Float64Array[];
  readonly #base;
  readonly #difference: Difference;
  readonly #labs: Float64Array;
  #laid = Number.NaN;

  /** @throws TypeError, RangeError for a job or rules that cannot be computed, or that no recipe keeps */
  constructor(request: RefitRequest) {
    const { job, binderIndex, limits, leastDose, target, lights } = request;
    const { components } = job.recipe;
    this.request = request;
    this.#chain = new GroundChain(job);
    const { length } = job.eye.weights.x;
    // The model reads its grounds at every look: a blend is laid by writing into them.
    this.#grounds = job.substrates.map(() => new Float64Array(length));
    [this.#base] = createFractions(1, length);
    this.#match = prepareMatch({
      components,
      binderIndex,
      limits,
      finish: coatsOver(sumOf(job.coatWets), this.#grounds, job.more?.wets),
      target,
      lights,
      surface: job.eye.surface,
      sheen: job.eye.sheen,
      loading: "free",
    });
    const { depths, forward } = this.#match;
    this.#descent = new RuledDescent(forward, components, depths, { limits, leastDose, fullLoading: false });
    const { limits: whole } = this.#descent;
    const points = trialPoints(tellingDoses(depths, false), whole, trials, 7);
    const n = depths.variables;
    this.#trials = [
      fullest(whole),
      ...Array.from({ length: trials }, (_, t) => points.slice(t * n, (t + 1) * n)),
    ];
    this.#difference = differenceOf(job.formula);
    this.#labs = new Float64Array(3 * forward.grounds * this.#match.lights.length);
  }

  /** The best of what fixed starts lead to: as a fit from nothing. */
  afresh(ratio: number): Descended | undefined {
    const { forward } = this.#match;
    this.#lay(ratio);
    const ranked = this.#trials
      .map((x) => ({ x, value: forward.value(x) }))
      .sort((p, q) => p.value - q.value);
    let best: Descended | undefined;
    for (const { x } of ranked.slice(0, descents))
      best = this.#descent.from(x, coarse, best?.value, this.#trials) ?? best;
    return best;
  }

  /** What a recipe for a neighbouring ratio leads to here, where that is below `below`. */
  from(start: Float64Array, ratio: number, below?: number, options = follow): Descended | undefined {
    this.#lay(ratio);
    return this.#descent.from(start, options, below);
  }

  /** A fitted recipe brought to the last digit. */
  polished(ratio: number, volumes: ArrayLike<number>): RefittedAt {
    const start = this.startOf(volumes);
    const found = this.from(start, ratio, undefined, fine);
    const value = this.#match.forward.value(start);
    return this.pointOf(ratio, found && found.value < value ? found : { x: start, value, converged: false });
  }

  /** A fitted recipe in whole steps of a balance, mL per 100 mL of mix. */
  rounded(ratio: number, volumes: ArrayLike<number>, balance: Balance): Float64Array {
    this.#lay(ratio);
    const x = roundedToBalance(this.#match, this.#descent, this.startOf(volumes), balance);
    return volumesOf(this.#match.depths, x);
  }

  pointOf(ratio: number, { x, value }: Descended): RefittedAt {
    return { ratio, volumes: volumesOf(this.#match.depths, x), objective: value };
  }

  /** Wet shares of the pastes, as starts are given. */
  startOf(volumes: ArrayLike<number>): Float64Array {
    const total = sumOf(volumes);
    return Float64Array.from(this.#match.depths.componentOf, (j) => volumes[j] / total);
  }

  /** Σ weight·ΔE00 of a recipe at a ratio, on the worst part. */
  objectiveAt(ratio: number, volumes: ArrayLike<number>): number {
    this.#lay(ratio);
    return this.#match.forward.value(this.startOf(volumes));
  }

  /** Difference of the worst part in the job's formula. */
  differenceAt(ratio: number, volumes: ArrayLike<number>): number {
    this.#lay(ratio);
    const { forward, lights } = this.#match;
    forward.labsInto(this.startOf(volumes), this.#labs);
    let worst = 0;
    for (let g = 0; g < forward.grounds; g++) {
      const at = 3 * g * lights.length;
      worst = Math.max(worst, this.#difference(this.request.job.target, this.#labs.subarray(at, at + 3)));
    }
    return worst;
  }

  #lay(ratio: number): void {
    if (ratio === this.#laid) return;
    const { job, thirdShare } = this.request;
    this.#chain.baseInto(plannedPoint(job, ratio, thirdShare), this.#base);
    const { r, q } = this.#base;
    this.#grounds.forEach((ground, part) => {
      const under = job.substrates[part];
      for (let k = 0; k < ground.length; k++) {
        ground[k] = (r[k] + q[k] * under[k]) / (1 - r[k] * under[k]);
      }
    });
    this.#laid = ratio;
  }
}

/** Places at which the curve is begun from nothing. */
const anchors = 3;

/**
 * The recipe fitted anew at evenly spaced ratios. Fits from nothing at both ends and between are followed along the ratio in
 * both directions, the better one kept, so that a valley found anywhere is known everywhere.
 *
 * @param count ratios from 0 to 1, at least 3
 * @throws RangeError for a count that cannot be, or where no recipe keeps the limits
 */
export function refittedCurve(refitter: RatioRefitter, count: number): RefittedCurve {
  wholeNumber("points", count, 3);
  const ratios = Float64Array.from({ length: count }, (_, k) => k / (count - 1));
  const best: (Descended | undefined)[] = new Array(count).fill(undefined);
  for (let a = 0; a < anchors; a++) {
    const k = Math.round((a * (count - 1)) / (anchors - 1));
    best[k] = refitter.afresh(ratios[k]);
  }
  const step = (k: number, from: number): void => {
    const start = best[from];
    if (start) best[k] = refitter.from(start.x, ratios[k], best[k]?.value) ?? best[k];
  };
  for (let k = 1; k < count; k++) step(k, k - 1);
  for (let k = count - 2; k >= 0; k--) step(k, k + 1);
  const points = best.map((found, k) => {
    if (!found) throw new RangeError("no recipe keeps the limits");
    return refitter.pointOf(ratios[k], found);
  });
  return {
    ratios,
    points,
    differences: Float64Array.from(points, ({ ratio, volumes }) => refitter.differenceAt(ratio, volumes)),
  };
}
