import { withinSteps } from "./steps.ts";

const golden = (Math.sqrt(5) - 1) / 2;

/**
 * Least point of a function between two limits by golden section; the limits count too. Best where there is
 * one valley.
 * @returns x to `precision`
 */
export function leastOf(f: (x: number) => number, low: number, high: number, precision = 1e-4): number {
  let [a, b] = [low, high];
  let x1 = b - golden * (b - a);
  let x2 = a + golden * (b - a);
  let f1 = f(x1);
  let f2 = f(x2);
  for (let step = 0; b - a > precision; step++) {
    withinSteps(step, 2000, "the search for the least point");
    if (f1 < f2) {
      b = x2;
      x2 = x1;
      f2 = f1;
      x1 = b - golden * (b - a);
      f1 = f(x1);
    } else {
      a = x1;
      x1 = x2;
      f1 = f2;
      x2 = a + golden * (b - a);
      f2 = f(x2);
    }
  }
  let best = (a + b) / 2;
  let value = f(best);
  for (const x of [low, high]) {
    const other = f(x);
    if (other < value) {
      best = x;
      value = other;
    }
  }
  return best;
}
