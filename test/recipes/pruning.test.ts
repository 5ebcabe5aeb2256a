import { describe, expect, test } from "vitest";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { FamilyBound } from "../../src/recipes/familyBound.ts";
import { prepareMatch } from "../../src/recipes/fitAmounts.ts";
import { pruneChoices, ways } from "../../src/recipes/pruning.ts";
import { searchPart } from "../../src/recipes/searchPart.ts";
import { subsetsOfSize } from "../../src/recipes/subsets.ts";
import { binderIndex, coats, lights, opaque, rack, sheen, surface } from "./lanternMatch.ts";

const edge = (place: number, low: number, high: number) =>
  Float64Array.from(
    { length: 36 },
    (_, k) => low + (high - low) / (1 + Math.exp(-(380 + 10 * k - place) / 8)),
  );

const matchOf = (finish: typeof coats, seen: Float64Array) =>
  prepareMatch({
    components: rack,
    binderIndex,
    limits: { maxLoading: 0.25 },
    finish,
    target: { kind: "spectrum", seen },
    lights,
    surface,
    sheen,
  });

/** Coats of which the second part gets half as many again and the third twice as many. */
const uneven: typeof coats = coats.kind === "coats" ? { ...coats, builds: [1, 1.5, 2] } : coats;

const boundOf = (match: ReturnType<typeof matchOf>) =>
  new FamilyBound({ ...match.setting, depths: match.depths, targets: match.targets });

describe("ruling out families of pastes", () => {
  test("no random recipe of a family that is out comes within the limit", () => {
    const random = seededRandom(17);
    let proofs = 0;
    for (let trial = 0; trial < 90; trial++) {
      const finish = [coats, opaque, uneven][trial % 3];
      const match = matchOf(finish, edge(430 + 220 * random(), 0.03, 0.3 + 0.6 * random()));
      const family = [...Array(13).keys()].filter(() => random() < 0.4);
      if (family.length === 0) continue;
      // The greatest limit that can be proved, by halving.
      const bound = boundOf(match);
      let proved = 0;
      let open = 60;
      for (let step = 0; step < 8; step++) {
        const middle = (proved + open) / 2;
        if (bound.outOfReach(family, 0.25, middle)) proved = middle;
        else open = middle;
      }
      if (proved > 0) proofs++;
      const { forward } = match;
      forward.use(family);
      const f = new Float64Array(forward.grounds);
      for (let k = 0; k < 300; k++) {
        // independent slow method: recipes of the family at random, from traces to the full loading
        const x = Float64Array.from(family, () => (random() < 0.5 ? 10 ** (-5 + 4.5 * random()) : 0));
        const sum = x.reduce((t, v) => t + v, 0);
        if (sum > 0.25) for (let i = 0; i < x.length; i++) x[i] *= 0.25 / sum;
        expect(forward.value(x, f)).toBeGreaterThan(proved);
      }
    }
    expect(proofs).toBeGreaterThan(15);
  });

  test("every choice ruled out is worse than the limit when worked out, and many are", () => {
    const match = matchOf(opaque, edge(520, 0.03, 0.85));
    const limit = 27;
    // White, yellows and greens before the reds.
    const order = [0, 8, 12, 10, 1, 11, 9, 2, 3, 4, 5, 6, 7];
    const { left, pruned } = pruneChoices(boundOf(match), order, [], 3, 0.25, limit);
    expect(pruned + left.length / 3).toBe(ways(13, 3)); // identity
    expect(pruned).toBeGreaterThan(30);
    const kept = new Set<string>();
    for (let at = 0; at < left.length; at += 3) kept.add(left.slice(at, at + 3).join());
    const packed = subsetsOfSize({ candidates: order, required: [], maxPastes: 3 }, 3);
    const { setting } = match;
    const { values } = searchPart({
      setting,
      minShares: new Float64Array(13),
      size: 3,
      subsets: packed,
      starts: new Float64Array(0),
      effort: { trials: 24, descents: 3, smoothings: [1, 0.1], seed: 5 },
    });
    values.forEach((value, s) => {
      if (!kept.has(packed.slice(3 * s, 3 * s + 3).join())) expect(value).toBeGreaterThan(limit);
    });
  });

  test("required pastes stay in every choice left", () => {
    const match = matchOf(coats, edge(600, 0.03, 0.85));
    const { left, pruned } = pruneChoices(boundOf(match), [...Array(13).keys()], [2], 3, 0.25, 1);
    expect(pruned + left.length / 3).toBe(ways(12, 2));
    for (let at = 0; at < left.length; at += 3) expect([...left.subarray(at, at + 3)]).toContain(2);
  });
});
