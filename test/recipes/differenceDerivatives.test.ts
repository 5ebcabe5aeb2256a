import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { SquaredDifference } from "../../src/recipes/differenceDerivatives.ts";

const random = seededRandom(20260114);
const colour = () => [5 + 90 * random(), 160 * random() - 80, 160 * random() - 80];
const pairs = Array.from({ length: 400 }, (_, i) => {
  const reference = colour();
  // Half of the pairs lie close together, as in a search that is nearly done.
  const near = i % 2 === 0;
  const sample = near ? reference.map((v) => v + 4 * random() - 2) : colour();
  return [reference, sample];
});

describe("squared ΔE00 with derivatives", () => {
  test("value agrees with the plain formula", () => {
    const out = new Float64Array(8);
    for (const [reference, sample] of pairs) {
      const difference = new SquaredDifference(reference);
      const [L, a, b] = sample;
      const expected = deltaE2000(reference, sample) ** 2;
      difference.derivatives(L, a, b, out);
      // identity: the same formula written twice (1e-10 relative: cancellation in the hue difference)
      expect(difference.value(L, a, b) / expected).toBeCloseTo(1, 9);
      expect(out[0] / expected).toBeCloseTo(1, 9);
    }
  });

  test("gradient and Hessian agree with central differences", () => {
    const at = new Float64Array(8);
    const up = new Float64Array(8);
    const down = new Float64Array(8);
    const names = ["LL", "aa", "bb"];
    for (const [reference, sample] of pairs) {
      const difference = new SquaredDifference(reference);
      const [L, a, b] = sample;
      difference.derivatives(L, a, b, at);
      const scale = Math.hypot(at[1], at[2], at[3]) + 1;
      for (let axis = 0; axis < 3; axis++) {
        const step = [0, 0, 0];
        step[axis] = 1e-4;
        const plus = [L + step[0], a + step[1], b + step[2]] as const;
        const minus = [L - step[0], a - step[1], b - step[2]] as const;
        difference.derivatives(...plus, up);
        difference.derivatives(...minus, down);
        // Opposite hues: the formula itself jumps where the hue difference passes 180°.
        if (Math.abs(up[0] - down[0]) > 1) continue;
        const slope = (difference.value(...plus) - difference.value(...minus)) / 2e-4;
        // independent slow method: central differences, error ~ step²·third derivative and 1e-16/step
        expect(Math.abs(slope - at[1 + axis]) / scale, `∂${"Lab"[axis]} of ${sample}`).toBeLessThan(1e-6);
        const curvature = (up[1 + axis] - down[1 + axis]) / 2e-4;
        expect(Math.abs(curvature - at[[4, 5, 7][axis]]), names[axis]).toBeLessThan(
          1e-5 * (1 + Math.abs(curvature)) * 10,
        );
        if (axis === 1) {
          const mixed = (up[3] - down[3]) / 2e-4;
          expect(Math.abs(mixed - at[6]), "ab").toBeLessThan(1e-5 * (1 + Math.abs(mixed)) * 10);
        }
      }
    }
  });

  test("a neutral reference has no hue", () => {
    const difference = new SquaredDifference([50, 0, 0]);
    const out = new Float64Array(8);
    difference.derivatives(52, 3, -4, out);
    expect(out[0]).toBeCloseTo(deltaE2000([50, 0, 0], [52, 3, -4]) ** 2, 10); // identity
    expect(out.every(Number.isFinite)).toBe(true);
  });
});
