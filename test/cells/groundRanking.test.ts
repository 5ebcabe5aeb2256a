import { beforeAll, describe, expect, test } from "vitest";
import type { RankedGrounds } from "../../cells/ground-ranking/define.ts";
import { basecoatSettings, inOrder } from "../../cells/ground-ranking/model/compute.ts";
import type { KeptRanking } from "../../cells/ground-ranking/model/kept.ts";
import { groundOrders } from "../../cells/ground-ranking/model/parameters.ts";
import type { SweptRatio } from "../../cells/ratio-sweep/define.ts";
import type { NotebookDocument } from "../../src/document/notebook.ts";
import { setLinks, setParameters } from "../../src/document/operations.ts";
import type { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { computed } from "./computed.ts";
import { acted, coverageOf, exampleWith, worstWhenSet } from "./groundExample.ts";

const example = exampleWith("ground-ranking", "ratio-sweep");
const id = "rank-grounds";
const rankedOf = (graph: NotebookGraph) => graph.lastValue(id) as RankedGrounds;

describe("every pair and triple as a ground", () => {
  let document: NotebookDocument;
  let graph: NotebookGraph;
  let found: KeptRanking;
  beforeAll(async () => {
    const answer = await acted(example, id, "rank");
    document = answer.document;
    graph = answer.graph;
    found = answer.patch.found as KeptRanking;
  });

  test("as many are tried as there are", () => {
    // identity: 3 pairs and 1 triple of 3 paints; each of 3 paints and 3 pairs with each of 13 pastes
    expect(found.tried).toBe(3 + 1 + (3 + 3) * 13);
    expect(found.grounds.every(({ members }) => members.length >= 2 && members.length <= 3)).toBe(true);
  });

  test("the cell's button really gives what the list says, plain and tinted", async () => {
    // independent slow method: the notebook set to the ground and computed anew
    const of = (tinted: boolean) =>
      inOrder(found, "difference").find(({ ground }) => ground.tinted === tinted)!;
    for (const { ground } of [of(true), of(false), inOrder(found, "cost")[0]]) {
      const set = setParameters(document, "ground", basecoatSettings(ground));
      expect(await worstWhenSet(set)).toBeCloseTo(ground.difference, 2);
      const { parts, worst } = coverageOf(await computed(set));
      expect(parts[worst].substrate.name).toBe(ground.worstPart);
    }
  });

  test("its panels are those of the ground once it is set", async () => {
    // identity
    const [{ ground, index }] = inOrder(found, "difference");
    const { worst } = rankedOf(graph).previews[index]!;
    const { parts } = coverageOf(await computed(setParameters(document, "ground", basecoatSettings(ground))));
    const part = parts.find(({ substrate }) => substrate.name === worst.part)!;
    // shares are kept to five digits, the cell's ratio to four
    for (let c = 0; c < 3; c++) expect(worst.seen.Lab[c]).toBeCloseTo(part.painted.Lab[c], 1);
  });

  test("the pair of grey and cream does as well as the best ratio of the sweep", () => {
    // identity: the same minimum by two searches
    const pair = found.grounds.find(
      ({ members }) => members.map(({ component }) => component).join() === "cool-grey,warm-cream",
    )!;
    const { best } = graph.lastValue("ratio") as SweptRatio;
    expect(Math.abs(pair.difference - best.difference)).toBeLessThan(1e-3);
    expect(Math.abs(basecoatSettings(pair).ratio - best.ratio)).toBeLessThan(5e-3);
  });

  test.each(groundOrders.map(({ value }) => value))("ordered by %s", (order) => {
    const list = inOrder(found, order).map(({ ground }) => ground);
    const passes = (d: number) => (d <= 1 ? 0 : 1);
    for (let k = 1; k < list.length; k++) {
      const [a, b] = [list[k - 1], list[k]];
      expect(passes(a.difference)).toBeLessThanOrEqual(passes(b.difference));
      if (passes(a.difference) !== passes(b.difference)) continue;
      const value = (ground: typeof a) => ground[order] ?? Number.POSITIVE_INFINITY;
      // differences within 0.02 count as equal, then the simpler ground comes first
      expect(value(a)).toBeLessThanOrEqual(
        value(b) + (order === "difference" || order === "hiding" ? 0.02 : 0),
      );
    }
    expect(list.some(({ outstanding }) => outstanding)).toBe(true);
  });

  test("a light ground hides the black part in one or two coats", () => {
    // common practice
    const plain = found.grounds.filter(({ tinted }) => !tinted);
    expect(plain.length).toBeGreaterThan(0);
    for (const { basecoatsToHide } of plain) expect(basecoatsToHide).toBeLessThanOrEqual(2);
  });

  test("taking a ground keeps the list; another red, or another shelf, makes it an earlier question's", async () => {
    const taken = setParameters(document, "ground", basecoatSettings(found.grounds[0]));
    expect(rankedOf(await computed(taken)).isStale).toBe(false);
    const redder = setParameters(document, "plan", { heavyCoats: 3 });
    expect(rankedOf(await computed(redder)).isStale).toBe(true);
    const limits = setParameters(document, id, { maxTint: 8 });
    expect(rankedOf(await computed(limits)).isStale).toBe(true);
  });

  test("a tinted ground cannot be set while the pastes are not linked to the basecoat, and the cell says so", async () => {
    const cut = rankedOf(await computed(setLinks(document, "ground", "tints", [])));
    found.grounds.forEach(({ tinted }, k) => {
      if (tinted) expect(cut.previews[k]!.hindrance).toMatch(/not linked to the basecoat cell/);
      else expect(cut.previews[k]!.hindrance).toBeUndefined();
    });
  });

  test("a list kept from a shelf that has changed shows gaps, not wrong colours", async () => {
    const { previews } = rankedOf(
      await computed(
        setParameters(setLinks(document, "ground", "paints", ["rack"]), "ground", {
          paints: ["pw6", "pr101"],
        }),
      ),
    );
    found.grounds.forEach(({ members }, k) => {
      const known = members.every(
        ({ component }) => !["cool-grey", "warm-cream", "white"].includes(component),
      );
      expect(previews[k] !== undefined).toBe(known);
    });
  });
});

test("four members: every triple with a paste too, mixed by hand", async () => {
  const answer = await acted(setParameters(example, id, { members: 4, maxTint: 10 }), id, "rank");
  const found = answer.patch.found as KeptRanking;
  expect(found.tried).toBe(3 + 1 + (3 + 3 + 1) * 13); // identity
  const { previews } = rankedOf(answer.graph);
  found.grounds.forEach(({ members }, k) => {
    if (members.length === 4) expect(previews[k]!.hindrance).toMatch(/by hand/);
  });
});

test("pairs alone, without pastes", async () => {
  const answer = await acted(setParameters(example, id, { members: 2, maxTint: 0 }), id, "rank");
  const found = answer.patch.found as KeptRanking;
  expect(found.tried).toBe(3); // identity
  expect(found.grounds.every(({ members, tinted }) => members.length === 2 && !tinted)).toBe(true);
});
