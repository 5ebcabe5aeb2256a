import { withinSteps } from "../fit/steps.ts";

/** Up to this many roundings all are tried; beyond it, neighbours of the best so far. */
const mostTried = 4096;

/**
 * Whole steps around the ideal ones with the least objective; ties go to the nearer rounding.
 *
 * @param used indices of the doses that are not nothing   @param binderIndex stays at its nearest step; −1 for none
 * @param objective of a choice of steps; infinite for one that is not allowed
 */
export function bestRounding(
  ideal: Float64Array,
  nearest: Float64Array,
  used: readonly number[],
  binderIndex: number,
  objective: (steps: Float64Array) => number,
): Float64Array {
  const pastes = used.filter((j) => j !== binderIndex);
  // The binder's own rounding changes next to nothing; it stays at the nearest step.
  const lowest = (j: number) => Math.max(0, Math.floor(ideal[j]) - 1);
  const highest = (j: number) => Math.ceil(ideal[j]) + 1;
  const off = (steps: Float64Array) =>
    pastes.reduce((t, j) => t + Math.abs(steps[j] - ideal[j]) / (1 + ideal[j]), 0);
  const worth = (steps: Float64Array) =>
    steps.some((n) => n > 0) ? objective(steps) + 1e-9 * off(steps) : Number.POSITIVE_INFINITY;
  let best = nearest.slice();
  let bestWorth = worth(best);
  const consider = (steps: Float64Array): boolean => {
    const w = worth(steps);
    if (w >= bestWorth) return false;
    best = steps.slice();
    bestWorth = w;
    return true;
  };
  const combinations = pastes.reduce((t, j) => t * (highest(j) - lowest(j) + 1), 1);
  if (combinations <= mostTried) {
    const steps = nearest.slice();
    const walk = (at: number): void => {
      if (at === pastes.length) {
        consider(steps);
        return;
      }
      for (let n = lowest(pastes[at]); n <= highest(pastes[at]); n++) {
        steps[pastes[at]] = n;
        walk(at + 1);
      }
    };
    walk(0);
    return best;
  }
  // Neighbours: one dose a step up or down, or two doses at once, until none is better.
  let better = true;
  for (let round = 0; better; round++) {
    withinSteps(round, 1000, "the search for doses");
    better = false;
    const from = best.slice();
    for (const i of pastes) {
      for (const j of pastes) {
        for (const p of [-1, 0, 1]) {
          for (const q of i === j ? [0] : [-1, 0, 1]) {
            const steps = from.slice();
            steps[i] += p;
            steps[j] += q;
            if (pastes.every((k) => steps[k] >= lowest(k) && steps[k] <= highest(k)) && consider(steps))
              better = true;
          }
        }
      }
    }
  }
  return best;
}
