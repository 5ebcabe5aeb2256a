import { describe, expect, test } from "vitest";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { StepChances } from "../../src/judgement/stepChances.ts";
import { axisWords, stepOf, stepText } from "../../src/judgement/stepWords.ts";

describe("step words", () => {
  test.each([
    [0, 0],
    [0.49, 0],
    [-0.6, -1],
    [1.3, 2],
    [-2.6, -3],
    [5, 4],
    [40, 4],
  ])("a perceived difference of %d is step %i", (perceived, step) => {
    expect(stepOf(perceived)).toBe(step); // from memory: 0.5, 1.2, 2.5, 5
  });

  test("the words follow the hue", () => {
    // common practice: a red is yellower or bluer; a grey has no hue to speak of
    expect(stepText(-3, axisWords([45, 50, 25])[2])).toBe("clearly bluer");
    expect(stepText(1, axisWords([45, -30, -30])[2])).toBe("hardly redder");
    expect(stepText(2, axisWords([60, 1, 2])[1])).toBe("slightly redder");
    expect(stepText(null, axisWords([60, 1, 2])[0])).toBe("cannot judge");
  });
});

describe("chances of the step words", () => {
  const chances = new StepChances(0.35);
  const steps = Array.from({ length: 9 }, (_, k) => k - 4);

  test.each([0, 0.3, -1.1, 2.2, -6, 30])("sum to 1 for a difference of %d", (difference) => {
    for (const coarseness of [-1, 0, 0.7]) {
      const sum = steps.reduce((total, step) => total + chances.of(step, difference, coarseness), 0);
      expect(sum).toBeCloseTo(1, 9); // identity
    }
  });

  test("a difference turned round turns the words round", () => {
    // identity
    for (const step of steps) expect(chances.of(step, 1.7, 0.2)).toBe(chances.of(-step, -1.7, 0.2));
  });

  test.each([
    [0.4, 1],
    [1.8, 1],
    [4.3, 1],
    [1.8, 2],
  ])("are those of an observer drawn many times: difference %d, coarseness %d", (difference, times) => {
    const random = seededRandom(5);
    const count = 40_000;
    const heard = new Float64Array(9);
    for (let k = 0; k < count; k++) {
      const scatter = Math.exp(0.35 * times * normal(random));
      const noise = Math.hypot(0.45 * times, 0.35) * normal(random);
      heard[stepOf(difference * scatter + noise) + 4] += 1 / count;
    }
    // 0.01: three standard errors of a share (0.0075), and the 2 % of slips, which lie evenly over the nine words
    for (const step of steps) {
      const expected = 0.98 * heard[step + 4] + 0.02 / 9;
      expect(Math.abs(chances.of(step, difference, Math.log(times)) - expected)).toBeLessThan(0.01);
    }
  });
});
