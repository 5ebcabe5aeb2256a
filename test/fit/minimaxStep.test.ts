import { describe, expect, test } from "vitest";
import { MinimaxStep } from "../../src/fit/minimaxStep.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";

const random = seededRandom(314);
const spread = () => 2 * random() - 1;

/** A random step problem with d = 0 inside all limits. */
function randomStep(n: number, parts: number, equality: boolean): MinimaxStep {
  const step = new MinimaxStep(n, parts, 2);
  for (let p = 0; p < parts; p++) step.f[p] = spread();
  for (let k = 0; k < parts * n; k++) step.g[k] = 3 * spread();
  const root = Array.from({ length: n * n }, spread);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      let sum = i === j ? 0.1 : 0;
      for (let k = 0; k < n; k++) sum += root[i * n + k] * root[j * n + k];
      step.H[i * n + j] = sum;
    }
    step.low[i] = random() < 0.3 ? 0 : -random();
    step.high[i] = random();
  }
  for (let i = 0; i < n; i++) {
    step.a[i] = 0.2 + random();
    step.a[n + i] = spread();
  }
  step.b[0] = equality ? 0 : 0.5 * random();
  step.b[1] = 0.5 * random();
  return step;
}

function height(step: MinimaxStep, parts: number, d: Float64Array): number {
  const n = d.length;
  let top = Number.NEGATIVE_INFINITY;
  for (let p = 0; p < parts; p++) {
    let v = step.f[p];
    for (let i = 0; i < n; i++) v += step.g[p * n + i] * d[i];
    top = Math.max(top, v);
  }
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) top += 0.5 * d[i] * step.H[i * n + j] * d[j];
  return top;
}

function keeps(step: MinimaxStep, d: Float64Array, equality: boolean): boolean {
  const n = d.length;
  for (let i = 0; i < n; i++) if (d[i] < step.low[i] - 1e-9 || d[i] > step.high[i] + 1e-9) return false;
  for (let r = 0; r < 2; r++) {
    let used = 0;
    for (let i = 0; i < n; i++) used += step.a[r * n + i] * d[i];
    if (used > step.b[r] + 1e-9) return false;
    if (r === 0 && equality && used < step.b[r] - 1e-9) return false;
  }
  return true;
}

describe("minimax step", () => {
  test.each([
    [1, 1, false],
    [2, 3, false],
    [4, 3, false],
    [4, 1, true],
    [5, 4, true],
    [8, 3, false],
  ])(
    "%i variables, %i parts, held row %s: keeps the limits and no nearby point is lower",
    (n, parts, equality) => {
      for (let trial = 0; trial < 60; trial++) {
        const step = randomStep(n, parts, equality);
        const best = step.solve(equality ? 1 : 0);
        const d = step.d;
        expect(keeps(step, d, equality)).toBe(true);
        expect(height(step, parts, d)).toBeCloseTo(best, 10); // identity: the height returned is that of the answer
        expect(step.shares.reduce((t, v) => t + v, 0)).toBeCloseTo(1, 9); // identity: multipliers of a maximum
        // A convex problem: a local minimum is the minimum. Points on the way to random feasible ones, near and far.
        for (let k = 0; k < 200; k++) {
          const other = d.map((v, i) => {
            const target = step.low[i] + random() * (step.high[i] - step.low[i]);
            return v + 10 ** (-5 * random()) * (target - v);
          });
          if (equality) {
            // Back onto the held row along one variable.
            let used = 0;
            for (let i = 0; i < n; i++) used += step.a[i] * other[i];
            const i = k % n;
            other[i] -= used / step.a[i];
          }
          if (keeps(step, other, equality)) expect(height(step, parts, other)).toBeGreaterThan(best - 1e-9);
        }
      }
    },
  );
});
