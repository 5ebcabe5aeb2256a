import { FamilyBound } from "./familyBound.ts";
import { type MatchSetting, prepareMatch } from "./fitAmounts.ts";

/** What is left of the choices of one size after ruling out those that provably cannot win. */
interface Pruned {
  /** Choices left, packed. */
  readonly left: Int32Array;
  /** How many were ruled out. */
  readonly pruned: number;
}

/** A family is put to the proof only when it rules out at least this many choices at once. */
const worthAProof = 12;
/** Proofs may cost this many cells to begin with, and more for each choice that they ruled out. */
const firstCells = 300;
const cellsForEach = 8;

/**
 * Walk the tree of choices, ruling out whole branches: those whose pastes, all taken together in any doses, provably miss by
 * more than `limit`.
 *
 * @param order variables to choose from, the most useful first, so that branches without them are ruled out early
 * @param required variables in every choice   @param loading greatest sum of shares
 */
export function pruneChoices(
  bound: FamilyBound,
  order: readonly number[],
  required: readonly number[],
  size: number,
  loading: number,
  limit: number,
): Pruned {
  const free = order.filter((variable) => !required.includes(variable));
  const left: number[][] = [];
  let pruned = 0;
  const spent = bound.cells;
  const chosen = [...required];
  const walk = (from: number, proved: boolean): void => {
    const missing = size - chosen.length;
    const choices = ways(free.length - from, missing);
    if (choices === 0) return;
    if (missing === 0) {
      left.push([...chosen].sort((p, q) => p - q));
      return;
    }
    if (!proved && choices >= worthAProof && bound.cells - spent < firstCells + cellsForEach * pruned) {
      if (bound.outOfReach([...chosen, ...free.slice(from)], loading, limit)) {
        pruned += choices;
        return;
      }
    }
    // Without the next, most useful, paste first: there the greatest families are ruled out.
    walk(from + 1, false);
    // With it the family stays as it is: no new proof is needed.
    chosen.push(free[from]);
    walk(from + 1, true);
    chosen.pop();
  };
  walk(0, false);
  left.sort((p, q) => {
    for (let i = 0; i < size; i++) if (p[i] !== q[i]) return p[i] - q[i];
    return 0;
  });
  return { left: Int32Array.from(left.flat()), pruned };
}

/** A request to rule out choices; plain data, so that it can be sent to a worker. */
export interface PruneRequest {
  readonly setting: MatchSetting;
  readonly order: readonly number[];
  readonly required: readonly number[];
  readonly size: number;
  readonly loading: number;
  readonly limit: number;
}

export function prunePart({ setting, order, required, size, loading, limit }: PruneRequest): Pruned {
  const bound = new FamilyBound(prepareMatch(setting).forward.setting);
  return pruneChoices(bound, order, required, size, loading, limit);
}

/** Number of ways to choose k of n. */
export function ways(n: number, k: number): number {
  if (k < 0 || k > n) return 0;
  let product = 1;
  for (let i = 1; i <= k; i++) product = (product * (n - k + i)) / i;
  return Math.round(product);
}
