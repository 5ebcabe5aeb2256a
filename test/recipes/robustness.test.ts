import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { prepareMatch } from "../../src/recipes/fitAmounts.ts";
import { typicalShift } from "../../src/recipes/robustness.ts";
import { underLights } from "../../src/recipes/underLights.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { coats, lights, opaque, pick, poppySeen, seenOf, sheen, surface } from "./lanternMatch.ts";

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

describe("under several lights", () => {
  const all = ["D65", "A", "FL11", "LED-B3"].map((name) => weightsFor("1964-10", name));
  const shares = new Float64Array(13);
  shares[2] = 0.15;
  shares[7] = 0.03;
  const sample = seenOf(shares, coats);

  test("each pair is seen in its own light", () => {
    const pairs = underLights(poppySeen, sample, all);
    pairs.forEach(({ illuminant, Lab, targetLab, difference }, l) => {
      expect(illuminant).toBe(all[l].illuminant);
      const own = reflectanceToLab(sample, all[l], new Float64Array(3));
      own.forEach((v, i) => {
        expect(Lab[i]).toBeCloseTo(v, 12); // identity
      });
      expect(difference).toBeCloseTo(deltaE2000(targetLab, Lab), 12);
    });
    expect(pairs[0].metamerism).toBe(0);
  });

  test("the same curve has no metamerism in any light", () => {
    for (const { difference, metamerism } of underLights(poppySeen, poppySeen, all)) {
      expect(difference).toBe(0); // identity
      expect(metamerism).toBeCloseTo(0, 9);
    }
  });

  test("another observer or a black sample has no index", () => {
    const mixed = [all[0], weightsFor("1931-2", "A")];
    expect(underLights(poppySeen, sample, mixed)[1].metamerism).toBeUndefined();
    expect(underLights(poppySeen, new Float64Array(36), all)[1].metamerism).toBeUndefined();
  });
});
