import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import { metamerismIndexOfReflectance } from "../colour/metamerism.ts";
import { costOf } from "./costOf.ts";
import { tellingDoses } from "./depths.ts";
import { differencesOf, type MatchSetting, type PreparedMatch, volumesOf, worstOf } from "./fitAmounts.ts";
import { type HandVariation, typicalShift } from "./robustness.ts";

/** What else than the match counts in the ranking, in units of ΔE00. */
export interface RankWeights {
  /** For each paste. */
  readonly pastes: number;
  /** For each ΔE00 that the colour typically shifts under an uneven hand. */
  readonly robustness: number;
  /** For each doubling of the price against the cheapest of the list. */
  readonly cost: number;
}

/** A paste counts as 0.05, a typical shift of 1 as 0.1, a doubled price as 0.1 (our choice; editable). */
export const usualRankWeights: RankWeights = Object.freeze({ pastes: 0.05, robustness: 0.1, cost: 0.1 });

/** What a short list depends on beside the match. */
export interface RankChoices {
  /** Length of the short list; 8 when left out. */
  readonly show?: number;
  readonly rank?: Partial<RankWeights>;
  readonly hand?: HandVariation;
  /** Names of the grounds and of the lights for the sentences. */
  readonly groundNames?: readonly string[];
  readonly lightNames?: readonly string[];
}

/** One choice of pastes with its best recipe so far. */
export interface SolvedSubset {
  /** Variables of the depth model. */
  readonly subset: Int32Array;
  shares: Float64Array;
  value: number;
}

export interface RecipeCandidate {
  /** Components used as pastes, by index. */
  readonly pastes: readonly number[];
  /** mL per 100 mL of every component, binder included. */
  readonly volumes: Float64Array;
  /** Weighted ΔE00 over the lights (plus the spectral term) on the worst ground: what was minimised. */
  readonly objective: number;
  /** ΔE00 over each ground in each light. */
  readonly differences: readonly Float64Array[];
  readonly worstGround: number;
  /** Greatest ΔE00 in the main light over the grounds. */
  readonly mainDifference: number;
  /** Special metamerism index for each other light on the worst ground; empty for a Lab target. */
  readonly metamerism: Float64Array;
  /** Price of 100 mL of mix; undefined when a component used has no price. */
  readonly cost: number | undefined;
  /** Typical shift of the colour under an uneven hand, ΔE00. */
  readonly robustness: number;
  /** Objective plus what pastes, robustness and price count; the list is ranked by it. */
  readonly score: number;
  /** Seen reflectance over each ground. */
  readonly seen: readonly Float64Array[];
  /** Pastes that fade, in the words of their makers' notes. */
  readonly warnings: readonly string[];
  /** Why it ranks where it does. */
  readonly reason: string;
  /** Choices of pastes folded into this one because their recipes are all but the same. */
  readonly similar: readonly (readonly number[])[];
}

type Draft = Omit<RecipeCandidate, "reason" | "similar" | "score"> & {
  readonly shares: Float64Array;
  score: number;
  similar: number[][];
};

// Recipes this close in colour, whose doses (in telling doses) differ by less than this share, are shown as one.
const sameColour = 0.3;
const sameDoses = 0.1;

/** Rank solved choices, fold near-duplicates, and say why each ranks where it does. */
export function shortList(
  match: PreparedMatch,
  solved: readonly SolvedSubset[],
  request: MatchSetting & RankChoices,
  weights: RankWeights,
): RecipeCandidate[] {
  const drafts = solved.map((entry) => draftOf(match, entry, request));
  const prices = drafts.map(({ cost }) => cost ?? Number.NaN).filter((cost) => cost > 0);
  const cheapest = Math.min(...prices);
  for (const draft of drafts) {
    const { objective, pastes, robustness, cost } = draft;
    const dearer = cost !== undefined && cost > 0 ? Math.log2(cost / cheapest) : 0;
    draft.score =
      objective + weights.pastes * pastes.length + weights.robustness * robustness + weights.cost * dearer;
  }
  drafts.sort((p, q) => p.score - q.score || p.objective - q.objective);
  const telling = tellingDoses(match.depths, request.finish.kind === "opaque");
  const list: Draft[] = [];
  for (const draft of drafts) {
    const twin = list.find((other) => alike(match, other, draft, telling));
    if (!twin) list.push(draft);
    else if (twin.pastes.join() !== draft.pastes.join()) twin.similar.push([...draft.pastes]);
  }
  const shown = list.slice(0, request.show ?? 8);
  return shown.map(({ shares: _, ...draft }, place) => ({
    ...draft,
    reason: reasonFor(shown, place, request, weights),
  }));
}

function draftOf(
  match: PreparedMatch,
  { subset, shares }: SolvedSubset,
  request: MatchSetting & RankChoices,
): Draft {
  const { forward, depths, lights, setting } = match;
  const { components, target } = setting;
  // Pastes that were left out in the end do not count as used.
  const kept = Array.from(subset.keys()).filter((i) => shares[i] > 1e-7);
  const used = subset.filter((_, i) => kept.includes(i));
  const x = shares.filter((_, i) => kept.includes(i));
  forward.use(used);
  const { objective, worstGround } = worstOf(forward, x);
  const differences = differencesOf(forward, x);
  const seen = Array.from({ length: forward.grounds }, (_, g) => {
    const out = new Float64Array(depths.length);
    forward.seenInto(x, g, out);
    return out;
  });
  const volumes = volumesOf(depths, x, used);
  const metamerism =
    target.kind === "spectrum"
      ? Float64Array.from(lights.slice(1), ({ weights }) => {
          const main = lights[0].weights;
          if (weights.observer !== main.observer) return Number.NaN;
          return metamerismIndexOfReflectance(target.seen, seen[worstGround], main, weights, deltaE2000)
            .index;
        })
      : new Float64Array(0);
  const pastes = Array.from(used, (variable) => depths.componentOf[variable]);
  return {
    pastes,
    volumes,
    objective,
    differences,
    worstGround,
    mainDifference: Math.max(...differences.map((row) => row[0])),
    metamerism,
    cost: costOf(components, volumes),
    robustness: typicalShift(forward, x, lights.length, request.hand),
    score: 0,
    seen,
    warnings: pastes.flatMap((j) => fading(components[j].name, components[j].lightfastness)),
    similar: [],
    shares: Float64Array.from({ length: depths.variables }, (_, i) => {
      const at = used.indexOf(i);
      return at < 0 ? 0 : x[at];
    }),
  };
}

/** A warning when a lightfastness note speaks of less than good fastness. */
function fading(name: string, note: string | undefined): string[] {
  return note && /fair|poor|moderate|fade|fugitive/i.test(note) ? [`${name}: lightfastness ${note}`] : [];
}

function alike(match: PreparedMatch, p: Draft, q: Draft, telling: Float64Array): boolean {
  let difference = 0;
  let most = 0;
  let other = 0;
  for (let i = 0; i < telling.length; i++) {
    difference += Math.abs(p.shares[i] - q.shares[i]) / telling[i];
    most += p.shares[i] / telling[i];
    other += q.shares[i] / telling[i];
  }
  if (difference > sameDoses * Math.max(most, other)) return false;
  const { weights } = match.lights[0];
  const labOf = (seen: Float64Array) => {
    const Lab = new Float64Array(3);
    return reflectanceToLab(seen, weights, Lab);
  };
  return p.seen.every((seen, g) => deltaE2000(labOf(seen), labOf(q.seen[g])) <= sameColour);
}

function reasonFor(
  list: readonly Draft[],
  place: number,
  { groundNames, lightNames, lights }: MatchSetting & RankChoices,
  weights: RankWeights,
): string {
  const draft = list[place];
  const lowest = (of: (d: Draft) => number | undefined) => {
    const own = of(draft);
    return (
      own !== undefined && list.length > 1 && list.every((d) => d === draft || own < (of(d) ?? Infinity))
    );
  };
  const praise: string[] = [];
  if (lowest((d) => d.objective)) praise.push("the closest match");
  if (draft.metamerism.length > 0 && lowest((d) => Math.max(...d.metamerism))) {
    praise.push("holds best from light to light");
  }
  if (lowest((d) => d.pastes.length)) praise.push("the fewest pastes");
  if (lowest((d) => d.cost)) praise.push("the cheapest");
  if (lowest((d) => d.robustness)) praise.push("the least upset by an uneven hand");
  const ground =
    draft.differences.length > 1
      ? ` at worst (${groundNames?.[draft.worstGround] ?? `ground ${draft.worstGround + 1}`})`
      : "";
  const light = lightNames?.[0] ?? lights[0].weights.illuminant;
  const facts = [`ΔE00 ${draft.mainDifference.toFixed(2)} in ${light}${ground}`];
  if (draft.metamerism.length > 0) {
    let most = 0;
    for (let l = 1; l < draft.metamerism.length; l++)
      if (draft.metamerism[l] > draft.metamerism[most]) most = l;
    const name = lightNames?.[most + 1] ?? lights[most + 1].weights.illuminant;
    facts.push(`parts by ${draft.metamerism[most].toFixed(2)} in ${name}`);
  }
  facts.push(draft.pastes.length === 1 ? "one paste" : `${draft.pastes.length} pastes`);
  const opening = praise.length > 0 ? `${sentence(praise)}: ` : "";
  const behind = place === 0 ? "" : `; behind the first for ${weakness(draft, list[0], weights)}`;
  return `${capital(`${opening}${facts.join(", ")}${behind}`)}.`;
}

/** What costs a candidate most against the first. */
function weakness(draft: Draft, first: Draft, weights: RankWeights): string {
  const match = draft.objective - first.objective;
  const pastes = weights.pastes * (draft.pastes.length - first.pastes.length);
  const robustness = weights.robustness * (draft.robustness - first.robustness);
  const cost = draft.score - first.score - match - pastes - robustness;
  const reasons: [number, string][] = [
    [match, `a match worse by ${match.toFixed(2)}`],
    [pastes, "needing more pastes"],
    [robustness, `shifting more under an uneven hand (typically ${draft.robustness.toFixed(2)})`],
    [cost, "its price"],
  ];
  return reasons.sort((p, q) => q[0] - p[0])[0][1];
}

function sentence(parts: readonly string[]): string {
  if (parts.length === 1) return parts[0];
  return `${parts.slice(0, -1).join(", ")} and ${parts[parts.length - 1]}`;
}

function capital(text: string): string {
  return text[0].toUpperCase() + text.slice(1);
}
