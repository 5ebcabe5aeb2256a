import { aboveZero, atLeastZero, fraction, wholeNumber } from "../colour/checks.ts";
import type { SplitContext } from "../tasks/longTask.ts";
import { plural } from "../words/plural.ts";
import {
  type GroundCandidate,
  type GroundChoiceRequest,
  GroundRater,
  type GroundSet,
} from "./groundCandidate.ts";
import { checkJob } from "./job.ts";

/** What the list is ordered by; grounds within the tolerance come before all others. */
export type GroundOrder = "difference" | "coats" | "hiding" | "cost";

export interface GroundRankingRequest extends GroundChoiceRequest {
  /** How many base paints a ground may have; [2, 3] is every pair and triple. */
  readonly sizes: readonly number[];
  readonly order: GroundOrder;
}

interface GroundRankingPart {
  readonly request: GroundRankingRequest;
  readonly sets: readonly GroundSet[];
}

export interface RankedGround extends GroundCandidate {
  /**
   * No other ground of the list is as good in difference, coats, hiding and cost and better in one of them.
   */
  readonly outstanding: boolean;
  /** The ground in words: what it is made of and what it gives. */
  readonly words: string;
}

export interface GroundRanking {
  /** Best first. */
  readonly grounds: readonly RankedGround[];
  /** Sets tried, and how many of them did best without one of their members. */
  readonly tried: number;
  readonly reduced: number;
  readonly notes: readonly string[];
}

const partSize = 12;
/** Differences closer than this are equal to the eye of the ranking; then the simpler ground comes first. */
const alike = 0.02;

/** Every set of base paints of the asked sizes, each by itself and with every tint. */
export function groundSets({ paints, tints, sizes }: GroundRankingRequest): GroundSet[] {
  const sets: GroundSet[] = [];
  const grow = (chosen: number[], from: number, size: number): void => {
    if (chosen.length === size) {
      sets.push({ paints: chosen, tint: undefined });
      tints.forEach((_, tint) => {
        sets.push({ paints: chosen, tint });
      });
      return;
    }
    for (let p = from; p < paints.length; p++) grow([...chosen, p], p + 1, size);
  };
  for (const size of sizes) grow([], 0, size);
  return sets;
}

/** @throws RangeError, TypeError for a request that makes no sense */
export function checkRanking(request: GroundRankingRequest): void {
  const { paints, tints, sizes } = request;
  if (paints.length === 0) throw new RangeError("no base paint is at hand");
  for (const size of sizes) {
    wholeNumber("paints in a ground", size, 1);
    if (size > 3) throw new RangeError(`paints in a ground = ${size}: at most 3`);
  }
  checkJob({ ...request, paints: paints.slice(0, 3), formula: "ΔE00" });
  for (let p = 3; p < paints.length; p++) {
    checkJob({ ...request, paints: paints.slice(p, p + 1), formula: "ΔE00" });
  }
  for (const tint of tints) checkJob({ ...request, paints: [tint], formula: "ΔE00" });
  fraction("greatest share of a tint", request.maxTint);
  if (tints.length > 0) aboveZero("greatest share of a tint", request.maxTint);
  aboveZero("wet thickness of the basecoat", request.basecoatWet, "µm");
  aboveZero("wet thickness of one basecoat", request.oneBasecoatWet, "µm");
  atLeastZero("tolerance", request.tolerance);
  wholeNumber("colour coats to try", request.maxCoats, 1);
  aboveZero("transfer efficiency", request.transferEfficiency);
  fraction("transfer efficiency", request.transferEfficiency);
}

/** Rates a handful of sets; sets that do best without one of their members are left out. */
export function rankGroundsPart({ request, sets }: GroundRankingPart): GroundCandidate[] {
  const rater = new GroundRater(request);
  return sets.map((set) => rater.rate(set)).filter((candidate) => candidate !== undefined);
}

/**
 * Rank every pair and triple of base paints, plain and tinted, by what they give as a ground.
 * @throws RangeError, TypeError for a request that makes no sense
 */
export async function rankGrounds(
  request: GroundRankingRequest,
  context: SplitContext<typeof rankGroundsPart>,
): Promise<GroundRanking> {
  checkRanking(request);
  const sets = groundSets(request);
  const parts: GroundRankingPart[] = [];
  for (let from = 0; from < sets.length; from += partSize) {
    parts.push({ request, sets: sets.slice(from, from + partSize) });
  }
  let done = 0;
  const found = await context.each(rankGroundsPart, parts, () => {
    done++;
    context.onProgress(
      done / parts.length,
      `${Math.min(done * partSize, sets.length)} of ${sets.length} grounds`,
    );
  });
  return rankingOf(request, sets.length, found.flat());
}

/** Order candidates, mark the outstanding ones and put them in words. */
export function rankingOf(
  request: GroundRankingRequest,
  tried: number,
  candidates: readonly GroundCandidate[],
): GroundRanking {
  const notes: string[] = [];
  if (candidates.some(({ cost }) => cost === undefined)) {
    notes.push("some components have no price: grounds with them are not compared by cost");
  }
  const keys = candidates.map(keyOf);
  const passes = (k: number): number => (keys[k].difference <= request.tolerance ? 0 : 1);
  // Whole steps, so that the order is the same whichever is compared with which.
  const step = (k: number): number => {
    const value = keys[k][request.order];
    return request.order === "difference" || request.order === "hiding" ? Math.round(value / alike) : value;
  };
  const compared: ((k: number) => number)[] = [
    passes,
    step,
    (k) => candidates[k].shares.length,
    (k) => keys[k].difference,
  ];
  const order = Array.from(candidates.keys()).sort((p, q) => {
    for (const of of compared) {
      const [a, b] = [of(p), of(q)];
      if (a !== b) return a < b ? -1 : 1;
    }
    return p - q;
  });
  return {
    grounds: order.map((k) => ({
      ...candidates[k],
      outstanding: !keys.some((other) => dominates(other, keys[k])),
      words: wordsOf(request, candidates[k]),
    })),
    tried,
    reduced: tried - candidates.length,
    notes,
  };
}

type Keys = Record<GroundOrder, number>;

function keyOf({ difference, coats, hiding, cost }: GroundCandidate): Keys {
  return { difference, hiding, coats: coats ?? Infinity, cost: cost ?? Infinity };
}

function dominates(other: Keys, own: Keys): boolean {
  const keys: GroundOrder[] = ["difference", "coats", "hiding", "cost"];
  return keys.every((key) => other[key] <= own[key]) && keys.some((key) => other[key] < own[key]);
}

function wordsOf(
  { paints, tints, tolerance }: GroundRankingRequest,
  { paints: chosen, tint, shares, difference, coats, basecoatsToHide }: GroundCandidate,
): string {
  const percent = (share: number) => `${share < 0.02 ? (100 * share).toFixed(1) : Math.round(100 * share)} %`;
  const members = [...chosen.map((p) => paints[p].name), ...(tint === undefined ? [] : [tints[tint].name])];
  const blend = members.map((name, j) => `${name} ${percent(shares[j])}`).join(", ");
  const reach =
    coats === undefined ? `never within ${tolerance}` : `within ${tolerance} after ${plural(coats, "coat")}`;
  const hides =
    basecoatsToHide === undefined
      ? "does not hide the darkest part"
      : `hides the darkest part in ${plural(basecoatsToHide, "coat")}`;
  return `${blend}: difference ${difference.toFixed(2)}, ${reach}; ${hides}`;
}
