import { leastDoseOf } from "../coating/leastDose.ts";
import { each, wholeNumber, within } from "../colour/checks.ts";
import type { SplitContext } from "../tasks/longTask.ts";
import { type MatchSetting, prepareMatch, type SolveStatus } from "./fitAmounts.ts";
import { type PruneRequest, prunePart } from "./pruning.ts";
import {
  type RankChoices,
  type RankWeights,
  type RecipeCandidate,
  type SolvedSubset,
  shortList,
  usualRankWeights,
} from "./ranking.ts";
import { recipeLimits } from "./recipeLimits.ts";
import { type SearchEffort, type SearchPartRequest, searchPart } from "./searchPart.ts";
import { countSubsets, subsetKey, subsetsOfSize } from "./subsets.ts";

/** A search for the best recipes over every admissible choice of pastes. */
export interface SearchRequest extends MatchSetting, RankChoices {
  /** Greatest number of pastes in a recipe, 1…6; 4 when left out. */
  readonly maxPastes?: number;
  /** Components that must not be used, by index. */
  readonly excluded?: readonly number[];
  /** Components that every recipe must hold, by index. */
  readonly required?: readonly number[];
  /** Least sensible dose of a paste where it is used, mL per 100 mL; 0 when left out. `limits.min` may ask for more. */
  readonly leastDose?: number;
  readonly seed?: number;
}

export interface SearchResult {
  readonly status: SolveStatus;
  /** Best first. */
  readonly candidates: readonly RecipeCandidate[];
  /** How many choices of pastes there are, how many were worked out and how many ruled out unseen. */
  readonly subsets: number;
  readonly solved: number;
  readonly pruned: number;
  readonly notes: readonly string[];
}

/** Every subset. */
const firstEffort = { trials: 12, descents: 1, smoothings: [1, 0.1, 0.003] } as const;
/** The best of them again. */
const polish = { trials: 48, descents: 4, smoothings: [1, 0.1, 0.01, 1e-3] } as const;
const partSize = 40;
const polishPartSize = 8;
/** How many subsets are worked on again for a short list of the usual length. */
const kept = 64;
/** Choices are ruled out unseen where there are at least this many of one size. */
const proveFrom = 100;
/** Ruled out is what provably cannot come near the match of the recipe this far behind the end of the short list … */
const spare = 4;
/** … within this much of ΔE00, more than price, robustness and number of pastes make up at the usual weights of the ranking. */
const margin = 0.5;
const nothingKeeps = "no choice of pastes keeps the limits: the least doses exceed the greatest loading";
/** An extra paste must earn at least this much (ΔE00), or the recipe counts as that of the smaller choice. */
const worthAPaste = 0.005;

/**
 * Search every choice of pastes up to a number, each solved with bounds and loading limit on exact derivatives, and rank the
 * best. Runs its parts through `context.each`; the result does not depend on how many run at once.
 *
 * @throws TypeError, RangeError for requests that make no sense (no paste, a paste both required and excluded, …)
 */
export async function searchRecipes(
  request: SearchRequest,
  context: SplitContext<typeof searchPart | typeof prunePart>,
): Promise<SearchResult> {
  const { maxPastes = 4, seed = 1 } = request;
  const { match, setting, minShares, candidates, must, reason } = layOut(request);
  const { notes } = match;
  const rule = { candidates, required: must, maxPastes };
  const subsets = countSubsets(rule);
  const none = { candidates: [], subsets, solved: 0, pruned: 0, status: "infeasible" } as const;
  if (reason) return { ...none, notes: [...notes, reason] };
  const solved = new Map<string, SolvedSubset>();
  const work = subsets + kept;
  let done = 0;
  const solve = async (lists: SolvedSubset[][], effort: SearchEffort, text: string): Promise<void> => {
    const parts = lists.map((list) => partOf(setting, minShares, list, effort));
    await context.each(searchPart, parts, ({ values, shares }, index) => {
      const list = lists[index];
      const size = parts[index].size;
      list.forEach((entry, s) => {
        entry.value = values[s];
        entry.shares = shares.slice(s * size, (s + 1) * size);
        if (values[s] < Number.POSITIVE_INFINITY) solved.set(subsetKey(entry.subset), entry);
      });
      done += list.length;
      context.onProgress(Math.min(1, done / work), text);
    });
  };

  const weights = { ...usualRankWeights, ...request.rank };
  const sizes = Math.min(maxPastes, candidates.length);
  let pruned = 0;
  for (let size = Math.max(1, must.length); size <= sizes; size++) {
    let packed = subsetsOfSize(rule, size);
    const ranked = worthwhile(solved, must);
    const last = ranked[(request.show ?? 8) + spare - 1];
    const limit = last ? last.value + margin * heaviness(weights) : Number.POSITIVE_INFINITY;
    if (last && packed.length >= proveFrom * size) {
      const proof: PruneRequest = {
        setting,
        order: byUse(candidates, solved),
        required: must,
        size,
        loading: greatestShare(setting),
        limit,
      };
      const [answer] = await context.each(prunePart, [proof]);
      packed = answer.left;
      pruned += answer.pruned;
      done += answer.pruned;
    }
    const list = Array.from({ length: packed.length / size }, (_, s): SolvedSubset => {
      const subset = packed.slice(s * size, (s + 1) * size);
      return { subset, shares: startFrom(solved, subset, minShares, must), value: Number.POSITIVE_INFINITY };
    });
    await solve(inParts(list, partSize), { ...firstEffort, seed, limit }, `choices of ${size}`);
  }
  if (solved.size === 0) return { ...none, notes: [...notes, nothingKeeps] };
  const best = worthwhile(solved, must).slice(0, Math.max(kept, 6 * (request.show ?? 8)));
  const sizesOfBest = [...new Set(best.map(({ subset }) => subset.length))];
  const lists = sizesOfBest.flatMap((size) =>
    inParts(
      best.filter(({ subset }) => subset.length === size),
      polishPartSize,
    ),
  );
  await solve(lists, { ...polish, seed: seed + 1000 }, "polishing the best");
  context.onProgress(1, "ranking");
  return {
    status: "converged",
    candidates: shortList(match, best, request, weights),
    subsets,
    solved: solved.size,
    pruned,
    notes,
  };
}

/** A checked search made ready: what may be chosen among, within which limits, and why nothing can be if so. */
function layOut(request: SearchRequest) {
  const { excluded = [], required = [], leastDose = 0, components, binderIndex } = request;
  const match = prepareMatch(request);
  const { depths } = match;
  checkChoice(request);
  const variableOf = new Map(Array.from(depths.componentOf, (j, i) => [j, i]));
  const candidates = [...variableOf].filter(([j]) => !excluded.includes(j)).map(([, i]) => i);
  if (candidates.length === 0) throw new RangeError("no paste is selected: all of them are excluded");
  const must = required.map((j) => variableOf.get(j)!);
  const minShares = Float64Array.from(
    depths.componentOf,
    (j) => Math.max(leastDoseOf(components[j], leastDose), request.limits.min?.[j] ?? 0) / 100,
  );
  const min = new Float64Array(components.length);
  min[binderIndex] = request.limits.min?.[binderIndex] ?? 0;
  const setting: MatchSetting = {
    components,
    binderIndex,
    limits: { ...request.limits, min },
    finish: request.finish,
    target: request.target,
    lights: request.lights,
    surface: request.surface,
    sheen: request.sheen,
    spectralWeight: request.spectralWeight,
    wavelengthWeights: request.wavelengthWeights,
    loading: match.fullLoading ? "full" : "free",
  };
  const whole = recipeLimits(components, depths, setting.limits);
  let reason: string | undefined;
  if ("reason" in whole) reason = whole.reason;
  else {
    const tooMuch = must.find((i) => minShares[i] > whole.limits.high[i]);
    if (tooMuch !== undefined) {
      const { name } = components[depths.componentOf[tooMuch]];
      reason = `${name} is required, but its least dose is above its greatest amount`;
    }
  }
  return { match, setting, minShares, candidates, must, reason };
}

/** How much more than usual the ranking counts beside the match, at least 1. */
function heaviness(weights: RankWeights): number {
  const { pastes, robustness, cost } = usualRankWeights;
  return Math.max(1, weights.pastes / pastes, weights.robustness / robustness, weights.cost / cost);
}

/** Choices of one size as a request of their own. */
function partOf(
  setting: MatchSetting,
  minShares: Float64Array,
  list: readonly SolvedSubset[],
  effort: SearchEffort,
): SearchPartRequest {
  return {
    setting,
    minShares,
    size: list[0].subset.length,
    subsets: Int32Array.from(list.flatMap(({ subset }) => [...subset])),
    starts: Float64Array.from(list.flatMap(({ shares }) => [...shares])),
    effort,
  };
}

function checkChoice({
  components,
  binderIndex,
  maxPastes = 4,
  excluded = [],
  required = [],
  leastDose = 0,
  show = 8,
}: SearchRequest): void {
  wholeNumber("greatest number of pastes", maxPastes, 1);
  within("greatest number of pastes", maxPastes, 1, 6);
  wholeNumber("length of the short list", show, 1);
  within("least dose", leastDose, 0, 100, "mL per 100 mL");
  const known = (name: string, value: number): void => {
    wholeNumber(name, value);
    if (value >= components.length)
      throw new RangeError(`${name} = ${value}: must be below ${components.length}`);
  };
  each("excluded component", excluded, known);
  each("required component", required, known);
  for (const j of required) {
    if (j === binderIndex) throw new RangeError("the binder cannot be required as a paste");
    if (excluded.includes(j)) throw new RangeError(`${components[j].name} is both required and excluded`);
  }
  if (new Set(required).size !== required.length) throw new RangeError("a paste is required twice");
  if (required.length > maxPastes) {
    throw new RangeError(
      `${required.length} pastes are required, but a recipe may hold at most ${maxPastes}`,
    );
  }
}

/** Candidates by the best recipe they are in so far. */
function byUse(candidates: readonly number[], solved: ReadonlyMap<string, SolvedSubset>): number[] {
  const best = new Map(candidates.map((variable) => [variable, Number.POSITIVE_INFINITY]));
  for (const { subset, value } of solved.values()) {
    for (const variable of subset) if (value < best.get(variable)!) best.set(variable, value);
  }
  return [...candidates].sort((p, q) => best.get(p)! - best.get(q)! || p - q);
}

/** Greatest sum of the shares of all components but the binder. */
function greatestShare({ components, binderIndex, limits: { maxLoading, min } }: MatchSetting): number {
  const onlyPastes = components.every(({ role }, j) => role === "paste" || j === binderIndex);
  return Math.min(1 - (min?.[binderIndex] ?? 0) / 100, onlyPastes ? maxLoading : 1);
}

function inParts<T>(list: readonly T[], size: number): T[][] {
  return Array.from({ length: Math.ceil(list.length / size) }, (_, k) =>
    list.slice(k * size, (k + 1) * size),
  );
}

/** The best recipe of the choices with one paste fewer, with the new paste at its least dose; not-a-number when none. */
function startFrom(
  solved: ReadonlyMap<string, SolvedSubset>,
  subset: Int32Array,
  minShares: Float64Array,
  must: readonly number[],
): Float64Array {
  let best: SolvedSubset | undefined;
  let without = -1;
  subset.forEach((variable, at) => {
    if (must.includes(variable)) return;
    const parent = solved.get(subsetKey(subset.filter((_, k) => k !== at)));
    if (parent && (!best || parent.value < best.value)) [best, without] = [parent, at];
  });
  const shares = new Float64Array(subset.length).fill(Number.NaN);
  if (!best) return shares;
  let from = 0;
  for (let i = 0; i < subset.length; i++)
    shares[i] = i === without ? minShares[subset[i]] : best.shares[from++];
  return shares;
}

/** Choices that earn their last paste, best first. */
function worthwhile(solved: ReadonlyMap<string, SolvedSubset>, must: readonly number[]): SolvedSubset[] {
  const list: SolvedSubset[] = [];
  for (const entry of solved.values()) {
    const { subset, value } = entry;
    let parent = Number.POSITIVE_INFINITY;
    if (subset.length > 1) {
      subset.forEach((variable, at) => {
        if (must.includes(variable)) return;
        const smaller = solved.get(subsetKey(subset.filter((_, k) => k !== at)));
        if (smaller) parent = Math.min(parent, smaller.value);
      });
    }
    if (value < parent - worthAPaste) list.push(entry);
  }
  return list.sort((p, q) => p.value - q.value || (subsetKey(p.subset) < subsetKey(q.subset) ? -1 : 1));
}
