import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { prepareMatch } from "../../src/recipes/fitAmounts.ts";
import { typicalShift } from "../../src/recipes/robustness.ts";
import { coats, lights, opaque, pick, poppySeen, sheen, surface } from "./lanternMatch.ts";

describe("typical shift under an uneven hand", () => {
  const x = Float64Array.of(0.004, 0.15, 0.03);
  const of = (finish: typeof coats) =>
    prepareMatch({
      components: pick(0, 2, 7),
      binderIndex: 3,
      limits: { maxLoading: 0.25 },
      finish,
      target: { kind: "spectrum", seen: poppySeen },
      lights,
      surface,
      sheen,
    });

  test.each([
    ["coats on one ground", coats.kind === "coats" ? { ...coats, grounds: [coats.grounds[1]] } : coats],
    ["opaque", opaque],
  ] as const)("%s: agrees with many seeded trials", (_, finish) => {
    const { forward } = of(finish);
    const shift = typicalShift(forward, x, lights.length);
    const random = seededRandom(3);
    const planned = new Float64Array(9);
    const moved = new Float64Array(9);
    forward.labsInto(x, planned);
    let sum = 0;
    const trials = 4000;
    for (let t = 0; t < trials; t++) {
      const y = x.map((v) => v * (1 + 0.02 * normal(random)));
      forward.labsInto(y, moved, finish.kind === "coats" ? Math.max(0.2, 1 + 0.1 * normal(random)) : 1);
      sum += deltaE2000(planned.subarray(0, 3), moved.subarray(0, 3)) ** 2;
    }
    // independent slow method: root mean square over trials; 10 % for curvature and chance (4000 trials: about 1.5 %)
    expect(Math.abs(Math.sqrt(sum / trials) / shift - 1)).toBeLessThan(0.1);
  });

  test("no variation, no shift", () => {
    const { forward } = of(coats);
    expect(typicalShift(forward, x, lights.length, { dose: 0, filmBuild: 0 })).toBe(0);
  });
});
