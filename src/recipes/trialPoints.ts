import { seededRandom } from "../fit/seededRandom.ts";
import type { Limits } from "../fit/trustRegion.ts";
import { keepWithin } from "./recipeLimits.ts";

/**
 * Recipes spread over what the limits allow: doses from a hundredth of a telling one to ten times it, evenly on a
 * logarithmic scale, every other recipe with some pastes left at their least amount. Equal seeds give equal recipes.
 *
 * @param telling a dose of each variable that makes itself felt
 * @returns count recipes of `telling.length` numbers, one after the other
 */
export function trialPoints(
  telling: ArrayLike<number>,
  limits: Limits,
  count: number,
  seed: number,
): Float64Array {
  const n = telling.length;
  const random = seededRandom(seed);
  const points = new Float64Array(count * n);
  for (let t = 0; t < count; t++) {
    const x = points.subarray(t * n, (t + 1) * n);
    const kept = t % 2 === 0 || n === 1 ? 1 : 0.5;
    for (let i = 0; i < n; i++) {
      // Both numbers are drawn always, so that one paste's luck does not shift the others'.
      const stays = random() < kept;
      const dose = telling[i] * 10 ** (-2 + 3 * random());
      x[i] = stays ? dose : 0;
    }
    keepWithin(limits, x);
  }
  return points;
}
