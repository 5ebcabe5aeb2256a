import { beforeAll, describe, expect, test } from "vitest";
import type { ThreePaints } from "../../cells/three-paints/define.ts";
import { setLinks, setParameters } from "../../src/document/operations.ts";
import type { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { groundTriangle, ratioOfShares } from "../../src/ground/map.ts";
import { computed } from "./computed.ts";
import { exampleWith, jobOf, worstWhenSet } from "./groundExample.ts";

const example = exampleWith("three-paints");
const id = "three-paints";
const threeOf = (graph: NotebookGraph) => graph.lastValue(id) as ThreePaints;
/** The notebook really set to a blend. */
const set = ({ paints }: ThreePaints, [first, second, third]: Float64Array | readonly number[]) =>
  setParameters(example, "ground", {
    paints: paints.map(({ id }) => id),
    ...ratioOfShares(first, second, third),
  });

describe("all blends of three base paints", () => {
  let graph: NotebookGraph;
  let three: ThreePaints;
  beforeAll(async () => {
    graph = await computed(example);
    three = threeOf(graph);
  });

  test("a place of the map is what the notebook gives when it is really set so", async () => {
    // independent slow method: the notebook itself
    const { shares, worst } = three.triangle;
    for (const k of [0, 40, 200, 420, worst.length - 1]) {
      const found = await worstWhenSet(set(three, shares.subarray(3 * k, 3 * k + 3)));
      expect(worst[k]).toBeCloseTo(found, 9);
    }
    expect(three.current.difference).toBeCloseTo(await worstWhenSet(example), 9);
  });

  test("the best blend beats a map five times finer, and the best of two its edges", () => {
    // independent slow method: exhaustive, 200 steps along each side
    const { job, point } = jobOf(graph);
    const fine = groundTriangle({ ...job, paints: three.paints }, 200, point);
    expect(three.best.difference).toBeLessThanOrEqual(fine.worst[fine.best] + 1e-3);
    let edge = Number.POSITIVE_INFINITY;
    fine.worst.forEach((value, k) => {
      if (fine.shares.subarray(3 * k, 3 * k + 3).some((share) => share === 0)) edge = Math.min(edge, value);
    });
    expect(three.bestOfTwo.difference).toBeCloseTo(edge, 6);
    expect(three.best.difference).toBeLessThanOrEqual(three.bestOfTwo.difference + 1e-9);
  });

  test("the best blend, really set, gives what the verdict says", async () => {
    // independent slow method
    expect(await worstWhenSet(set(three, three.best.shares))).toBeCloseTo(three.best.difference, 9);
    // identity
    expect(three.best.shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 12);
  });

  test("neither paint alone is best, and white alone is far off", () => {
    // common practice: a blend in between can beat both; white lightens a red and soon makes it pink
    const { steps, worst } = three.triangle;
    const corners = [worst[0], worst[steps], worst[worst.length - 1]];
    for (const corner of corners) expect(corner).toBeGreaterThan(three.best.difference + 1);
    expect(Math.max(...corners)).toBe(corners[2]);
  });

  test("another third paint, a paste, or the basecoat's own third", async () => {
    const named = threeOf(await computed(setParameters(example, id, { third: "pr101" })));
    expect(named.paints.map(({ name }) => name)).toEqual(["Cool light grey", "Warm cream", "Red oxide"]);
    const own = threeOf(
      await computed(
        setParameters(example, "ground", { paints: ["white", "warm-cream", "cool-grey"], thirdShare: 0.3 }),
      ),
    );
    expect(own.paints.map(({ id }) => id)).toEqual(["white", "warm-cream", "cool-grey"]);
    expect(own.current.shares[2]).toBeCloseTo(0.3, 12);
    // identity: the same three paints in another order have the same best blend; two searches of it
    expect(own.best.difference).toBeCloseTo(three.best.difference, 3);
  });
});

test.each([
  ["a third paint that is not there", { third: "gold" }, /no base paint "gold"/],
  ["too few steps", { steps: 2 }, /10 to 60/],
])("%s: a clear message", async (_, patch, message) => {
  const outcome = (await computed(setParameters(example, id, patch))).outcome(id);
  expect(outcome).toMatchObject({ status: "error", bug: false });
  expect((outcome as { message: string }).message).toMatch(message);
});

test("two paints and nothing else at hand", async () => {
  // The rack holds no base paints proper, so its pastes take their place; without a second set there is no other.
  const cut = setLinks(example, "ground", "tints", []);
  const graph = await computed(setParameters(cut, id, { third: "pv19" }));
  expect(graph.outcome(id)).toMatchObject({ status: "error", field: "third" });
});
