import { describe, expect, test } from "vitest";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { type DispenseRequest, dispense, dropsPerMlCounted } from "../../src/recipes/dispense.ts";
import { fitAmounts } from "../../src/recipes/fitAmounts.ts";
import { lights, pick } from "./lanternMatch.ts";
import { lanternSearch } from "./lanternSearch.ts";

const components = pick(0, 2, 7);
const match: DispenseRequest["match"] = { ...lanternSearch, components, binderIndex: 3 };
const { volumes } = fitAmounts(match as Parameters<typeof fitAmounts>[0]);

const grams = (step: number) => components.map(() => ({ kind: "grams", step }) as const);
const drops = (dropsPerMl: number) =>
  components.map((_, j) =>
    j === 3 ? ({ kind: "grams", step: 0.1 } as const) : ({ kind: "drops", dropsPerMl } as const),
  );

describe("dispensing", () => {
  test.each([
    ["balance of 0.01 g", grams(0.01), 50],
    ["balance of 0.1 g", grams(0.1), 50],
    ["drops of 0.05 mL", drops(20), 20],
    ["drops of 0.05 mL, tiny batch", drops(20), 5],
  ] as const)("%s: whole steps near the ideal, predicted again", (_, units, batch) => {
    const answer = dispense({ match, volumes, batch, units });
    let sum = 0;
    for (const {
      component,
      steps,
      idealSteps,
      volume,
      grams: weight,
      cumulativeGrams,
      unit,
    } of answer.doses) {
      const { density } = components[component];
      expect(Number.isInteger(steps)).toBe(true);
      expect(Math.abs(steps - idealSteps)).toBeLessThan(2);
      expect(weight).toBeCloseTo(volume * density, 9); // identity
      const size =
        units[component].kind === "grams" ? units[component].step : 1 / units[component].dropsPerMl;
      expect(unit === "grams" ? weight : volume).toBeCloseTo(steps * size, 9); // identity
      sum += weight;
      expect(cumulativeGrams).toBeCloseTo(sum, 9); // identity: one balance, poured one after the other
    }
    expect(answer.grams).toBeCloseTo(sum, 9);
    expect(answer.doses[0].component).toBe(3);
    expect(answer.batch / batch).toBeGreaterThan(0.9);
    expect(answer.batch / batch).toBeLessThan(1.15);
    expect(answer.idealDifference).toBeLessThan(0.1);
  });

  test("scaling the batch scales the ideal doses and nothing else", () => {
    const small = dispense({ match, volumes, batch: 10, units: grams(0.01) });
    const large = dispense({ match, volumes, batch: 1000, units: grams(0.01) });
    small.doses.forEach(({ idealSteps, component }) => {
      const other = large.doses.find((dose) => dose.component === component)!;
      expect(other.idealSteps / idealSteps).toBeCloseTo(100, 9); // identity
    });
    expect(large.roundedDifference).toBeCloseTo(large.idealDifference, 2);
    expect(large.shift).toBeLessThan(small.shift);
    expect(large.comfortableBatch).toBe(1000);
  });

  test("the neighbour search is never worse than plain rounding, and mostly better", () => {
    const random = seededRandom(9);
    let better = 0;
    for (let trial = 0; trial < 40; trial++) {
      const batch = 4 + 30 * random();
      const { roundedDifference, nearestDifference } = dispense({
        match: { ...match, lights: lights.slice(0, 1) },
        volumes,
        batch,
        units: drops(20),
      });
      expect(roundedDifference).toBeLessThanOrEqual(nearestDifference + 1e-9);
      if (roundedDifference < nearestDifference - 0.01) better++;
    }
    expect(better).toBeGreaterThan(20);
  });

  test("exhaustive search over few roundings: no other choice of steps within reach is better", () => {
    const { doses, roundedDifference } = dispense({
      match: { ...match, lights: lights.slice(0, 1) },
      volumes,
      batch: 8,
      units: drops(20),
    });
    const steps = components.map((_, j) => doses.find(({ component }) => component === j)?.steps ?? 0);
    const size = components.map(({ density }, j) => (j === 3 ? 0.1 / density : 0.05));
    // independent slow method: the ideal dose moved to every nearby whole number, through a request that rounds nothing
    for (let i = 0; i < 3; i++) {
      for (const move of [-1, 1]) {
        const other = Float64Array.from(steps, (n, j) => (n + (j === i ? move : 0)) * size[j]);
        if (other[i] < 0 || Math.abs(steps[i] + move - doses.find((d) => d.component === i)!.idealSteps) > 1)
          continue;
        const { idealDifference } = dispense({
          match: { ...match, lights: lights.slice(0, 1) },
          volumes: other,
          batch: 1e6,
          units: grams(0.01),
        });
        expect(idealDifference).toBeGreaterThan(roundedDifference - 1e-9);
      }
    }
  });

  test("many pastes: neighbours instead of all roundings, still no worse than plain rounding", () => {
    const many = pick(0, 1, 2, 3, 4, 5, 6, 7);
    const amounts = Float64Array.of(0.4, 0.02, 9, 0.3, 1.2, 0.4, 3, 2, 83);
    const request = { ...match, components: many, binderIndex: 8, target: undefined };
    const answer = dispense({
      match: request,
      volumes: amounts,
      batch: 60,
      units: many.map(() => ({ kind: "grams", step: 0.1 }) as const),
    });
    expect(answer.doses).toHaveLength(9);
    expect(answer.roundedDifference).toBeLessThan(answer.nearestDifference);
  });

  test("without a target the ideal recipe's own colour is kept", () => {
    const { target: _, ...free } = match;
    const answer = dispense({ match: free, volumes, batch: 30, units: drops(20) });
    expect(answer.idealDifference).toBe(0); // identity: to itself
    expect(answer.roundedDifference).toBe(answer.shift);
  });

  test("a paste below half a step is named, with a batch that is large enough", () => {
    const { notes, comfortableBatch } = dispense({
      match,
      volumes: [0.01, 15, 3, 82],
      batch: 10,
      units: drops(20),
    });
    expect(notes.join()).toMatch(/Titanium white (falls away|is only 1 step)/);
    const again = dispense({ match, volumes: [0.01, 15, 3, 82], batch: comfortableBatch, units: drops(20) });
    expect(again.notes).toHaveLength(0);
  });

  test.each([
    ["zero-size batch", { batch: 0 }, "batch = 0 mL: must be above 0"],
    ["negative amount", { volumes: [0, -1, 0, 80] }, "volume[1] = -1 mL: must be at least 0"],
    ["nothing in it", { volumes: [0, 0, 0, 0] }, "sum of the volumes = 0 mL"],
    ["a unit short", { units: grams(0.1).slice(1) }, "units has 3 values, but 4 are needed"],
    ["step of zero", { units: grams(0) }, "balance step for Titanium white = 0 g: must be above 0"],
    ["a batch below every step", { batch: 0.001 }, "too small, every dose is less than half a step"],
  ])("bad input: %s", (_, change, message) => {
    expect(() => dispense({ match, volumes, batch: 20, units: grams(0.1), ...change })).toThrow(message);
  });

  test("drops to the mL from drops counted onto a balance", () => {
    // source: USP 32 <1101> Medicine dropper: 20 drops of water at 50 mg weigh 1 g
    expect(dropsPerMlCounted(20, 1, 1)).toBeCloseTo(20, 12);
    expect(dropsPerMlCounted(40, 2.2, 1.1)).toBeCloseTo(20, 12); // identity: same drop volume, heavier liquid
    expect(() => dropsPerMlCounted(0, 1, 1)).toThrow("number of drops = 0");
  });
});
