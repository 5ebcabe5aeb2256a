import { describe, expect, test } from "vitest";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { type FitRequest, fitAmounts } from "../../src/recipes/fitAmounts.ts";
import { fitExplained } from "../../src/recipes/limitCosts.ts";
import { coats, lights, pick, sheen, surface } from "./lanternMatch.ts";
import { seenOfVolumes } from "./mishaps.ts";

const components = pick(2, 7, 0, 11);
const binderIndex = components.length - 1;

/** A target that a recipe gives exactly on one ground. */
function requestFor(volumes: number[], change: Partial<FitRequest> = {}): FitRequest {
  const finish = coats.kind === "coats" ? { ...coats, grounds: coats.grounds.slice(0, 1) } : coats;
  return {
    components,
    binderIndex,
    limits: { maxLoading: 0.25 },
    finish,
    target: { kind: "spectrum", seen: seenOfVolumes(components, binderIndex, volumes, finish) },
    lights,
    surface,
    sheen,
    ...change,
  };
}

describe("a fit keeps its rules", () => {
  test("every dose is nothing or at least the least one, and no choice of pastes does better", () => {
    const random = seededRandom(31);
    for (let c = 0; c < 12; c++) {
      const volumes = [10 * random(), 3 * random(), 0.3 * random(), 0.3 * random()];
      volumes.push(100 - volumes.reduce((t, v) => t + v, 0));
      const least = 0.4;
      const found = fitAmounts(requestFor(volumes, { leastDose: least }));
      // independent: every choice of pastes given at least the least dose, fitted by itself
      let best = Number.POSITIVE_INFINITY;
      for (let choice = 0; choice < 16; choice++) {
        const used = (j: number) => (choice >> j) % 2 === 1;
        const min = components.map((_, j) => (j < 4 && used(j) ? least : 0));
        const max = components.map((_, j) => (j < 4 && !used(j) ? 0 : 100));
        const { residual } = fitAmounts(requestFor(volumes, { limits: { maxLoading: 0.25, min, max } }));
        best = Math.min(best, residual);
      }
      for (let j = 0; j < 4; j++) {
        expect(found.volumes[j] < 1e-4 || found.volumes[j] > least - 1e-6).toBe(true);
      }
      expect(found.residual).toBeLessThan(best + 0.005);
    }
  });

  test("a component's own least dose stands before the general one, above or below it", () => {
    const own = components.map((one, j) =>
      j === 2 ? { ...one, leastDose: 1 } : j === 1 ? { ...one, leastDose: 0.1 } : one,
    );
    const volumes = [12, 0.2, 0.3, 0, 87.5];
    const found = fitAmounts(requestFor(volumes, { components: own, leastDose: 0.4 }));
    // independent: every choice of pastes given at least its least dose, fitted by itself
    const least = [0.4, 0.1, 1, 0.4];
    let best = Number.POSITIVE_INFINITY;
    for (let choice = 0; choice < 16; choice++) {
      const used = (j: number) => (choice >> j) % 2 === 1;
      const min = components.map((_, j) => (j < 4 && used(j) ? least[j] : 0));
      const max = components.map((_, j) => (j < 4 && !used(j) ? 0 : 100));
      best = Math.min(
        best,
        fitAmounts(requestFor(volumes, { limits: { maxLoading: 0.25, min, max } })).residual,
      );
    }
    least.forEach((dose, j) => {
      expect(found.volumes[j] < 1e-4 || found.volumes[j] > dose - 1e-6).toBe(true);
    });
    expect(found.residual).toBeLessThan(best + 0.005);
    // What it costs is said though nothing general was asked.
    const { limitCosts } = fitExplained(requestFor([12, 3, 0.3, 0, 84.7], { components: own }));
    expect(limitCosts[0]).toMatchObject({ limit: "least dose" });
  });

  test.each<[string, number[], Partial<FitRequest>, string, number | undefined]>([
    ["the loading", [14, 6, 0.5, 0.5, 79], { limits: { maxLoading: 0.12 } }, "loading", undefined],
    ["the least dose", [12, 3, 0.3, 0, 84.7], { leastDose: 1 }, "least dose", undefined],
    [
      "the most of a paste",
      [12, 3, 0.3, 0, 84.7],
      { limits: { maxLoading: 0.25, max: [100, 1, 100, 100, 100] } },
      "most",
      1,
    ],
    ["the balance", [12, 3, 0.03, 0, 84.97], { balance: { batch: 20, step: 0.1 } }, "balance", undefined],
  ])("%s: the limit is named with what it costs", (_, volumes, change, limit, component) => {
    const found = fitExplained(requestFor(volumes, change));
    expect(found.limitCosts[0]).toMatchObject({ limit, component });
    // identity: without any limit the very recipe is in reach, and the difference is 0
    expect(found.limitCosts[0].cost).toBeLessThanOrEqual(found.residual + 1e-9);
    expect(found.limitCosts[0].cost).toBeGreaterThan(0.5 * found.residual);
  });

  test("limits that stand in nobody's way are not mentioned", () => {
    const { limitCosts, residual } = fitExplained(requestFor([12, 3, 0.5, 0, 84.5], { leastDose: 0.2 }));
    expect(residual).toBeLessThan(0.01);
    expect(limitCosts).toEqual([]);
  });
});
