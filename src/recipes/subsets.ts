import { wholeNumber } from "../colour/checks.ts";

/** Which pastes may, must and must not be in a recipe; indices of any one list. */
interface SubsetRule {
  /** Indices to choose from. */
  readonly candidates: readonly number[];
  readonly required: readonly number[];
  readonly maxPastes: number;
}

/**
 * All subsets of one size that hold every required paste, in lexicographic order of their indices; packed, `size` numbers
 * each.
 */
export function subsetsOfSize({ candidates, required, maxPastes }: SubsetRule, size: number): Int32Array {
  wholeNumber("number of pastes", size, 1);
  const must = new Set(required);
  const free = candidates.filter((index) => !must.has(index)).sort((p, q) => p - q);
  const choose = size - must.size;
  if (choose < 0 || choose > free.length || size > maxPastes) return new Int32Array(0);
  const packed: number[] = [];
  const chosen: number[] = [];
  const walk = (from: number): void => {
    if (chosen.length === choose) {
      packed.push(...[...must, ...chosen].sort((p, q) => p - q));
      return;
    }
    const last = free.length - (choose - chosen.length);
    for (let i = from; i <= last; i++) {
      chosen.push(free[i]);
      walk(i + 1);
      chosen.pop();
    }
  };
  walk(0);
  return Int32Array.from(packed);
}

/** Number of subsets of up to `maxPastes` pastes, at least one, that hold every required one. */
export function countSubsets({ candidates, required, maxPastes }: SubsetRule): number {
  const free = candidates.length - required.length;
  let total = 0;
  for (let size = Math.max(1, required.length); size <= Math.min(maxPastes, candidates.length); size++) {
    let ways = 1;
    for (let k = 0; k < size - required.length; k++) ways = (ways * (free - k)) / (k + 1);
    total += ways;
  }
  return Math.round(total);
}

/** A name for a subset, to find it again. */
export function subsetKey(subset: ArrayLike<number>): string {
  return Array.from(subset).join(",");
}
