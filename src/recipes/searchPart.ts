import { Descender, type Limits } from "../fit/trustRegion.ts";
import { tellingDoses } from "./depths.ts";
import { type MatchSetting, prepareMatch } from "./fitAmounts.ts";
import { keepWithin, lacking, recipeLimits, slack, withFullLoading } from "./recipeLimits.ts";
import { trialPoints } from "./trialPoints.ts";

/** How hard each subset is worked on. */
export interface SearchEffort {
  /** Recipes tried blindly. */
  readonly trials: number;
  /** How many of them, the best and apart from each other, are descended from. */
  readonly descents: number;
  readonly smoothings: readonly number[];
  readonly seed: number;
  /** Recipes that cannot come below this are not polished: they are out of the running. */
  readonly limit?: number;
}

/** A batch of subsets of one size; plain data, so that it can be sent to a worker. */
export interface SearchPartRequest {
  readonly setting: MatchSetting;
  /** Least wet share of each variable where it is used. */
  readonly minShares: Float64Array;
  readonly size: number;
  /** Variables of each subset, `size` numbers each. */
  readonly subsets: Int32Array;
  /** A recipe to start from for each subset, `size` wet shares each; empty when there is none. */
  readonly starts: Float64Array;
  readonly effort: SearchEffort;
}

interface SearchPartResult {
  /** Objective of each subset's best recipe, infinite where the limits contradict each other. */
  readonly values: Float64Array;
  /** Wet shares, `size` numbers for each subset. */
  readonly shares: Float64Array;
}

// Two starts are apart when some dose differs by this factor, doses far below a telling one counting as equal.
const apartBy = Math.log(2.5);
const negligible = 0.02;

/**
 * The best recipe of each subset of a batch: from the given start, and from the best of some blind trials. The result is
 * never worse than the start. Deterministic: the trials depend on the effort's seed and the subset's size alone.
 */
export function searchPart(request: SearchPartRequest): SearchPartResult {
  const { setting, minShares, size, subsets, starts, effort } = request;
  const { depths, forward, fullLoading } = prepareMatch(setting);
  const whole = recipeLimits(setting.components, depths, setting.limits);
  const count = subsets.length / size;
  const values = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  const shares = new Float64Array(count * size);
  if ("reason" in whole) return { values, shares };
  const telling = tellingDoses(depths, setting.finish.kind === "opaque");
  const rows = whole.limits.b.length;
  const descender = new Descender(size, forward.objectives, rows);
  const low = new Float64Array(size);
  const high = new Float64Array(size);
  const a = new Float64Array(rows * size);
  const doses = new Float64Array(size);
  const y = new Float64Array(size);
  for (let s = 0; s < count; s++) {
    const subset = subsets.subarray(s * size, (s + 1) * size);
    forward.use(subset);
    for (let i = 0; i < size; i++) {
      low[i] = minShares[subset[i]];
      high[i] = whole.limits.high[subset[i]];
      doses[i] = telling[subset[i]];
      for (let r = 0; r < rows; r++) a[r * size + i] = whole.limits.a[r * depths.variables + subset[i]];
    }
    const upTo: Limits = { low, high, a, b: whole.limits.b, equalities: 0 };
    if (!possible(upTo)) continue;
    const limits = fullLoading ? withFullLoading(upTo) : upTo;
    const best = shares.subarray(s * size, (s + 1) * size);
    const points = trialPoints(doses, limits, effort.trials, effort.seed + size);
    const tried: { x: Float64Array; value: number }[] = [];
    for (let t = 0; t < effort.trials; t++) {
      const x = points.subarray(t * size, (t + 1) * size);
      tried.push({ x, value: forward.value(x) });
    }
    tried.sort((p, q) => p.value - q.value);
    const chosen: Float64Array[] = [];
    if (starts.length > 0) {
      const start = starts.subarray(s * size, (s + 1) * size);
      if (!Number.isNaN(start[0])) {
        keepWithin(limits, start);
        chosen.push(start);
        best.set(start);
        values[s] = forward.value(start);
      }
    }
    const most = chosen.length + effort.descents;
    for (const { x, value } of tried) {
      if (chosen.length >= most) break;
      if (value < values[s]) {
        values[s] = value;
        best.set(x);
      }
      if (chosen.every((other) => apart(x, other, doses))) chosen.push(x);
    }
    for (const start of chosen) {
      y.set(start);
      // Smoothing only ever lowers the objective: a minimum that is too high with it is too high without it.
      const hopelessAbove = Math.min(effort.limit ?? Number.POSITIVE_INFINITY, values[s]);
      descender.minimise(forward, y, limits, {
        smoothings: effort.smoothings,
        maxIterations: 80,
        hopelessAbove,
      });
      const value = forward.value(y);
      if (value < values[s]) {
        values[s] = value;
        best.set(y);
      }
    }
  }
  return { values, shares };
}

function apart(x: Float64Array, y: Float64Array, doses: Float64Array): boolean {
  for (let i = 0; i < x.length; i++) {
    const floor = negligible * doses[i];
    if (Math.abs(Math.log((x[i] + floor) / (y[i] + floor))) > apartBy) return true;
  }
  return false;
}

function possible(limits: Limits): boolean {
  const { low, high } = limits;
  return low.every((v, i) => v <= high[i]) && [0, 1].every((r) => lacking(limits, low, r) <= slack);
}
