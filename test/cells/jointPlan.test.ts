import { beforeAll, describe, expect, test } from "vitest";
import { coverageQuantities } from "../../cells/coverage/model/quantities.ts";
import type { JointPlans } from "../../cells/joint-plan/define.ts";
import { planSettings } from "../../cells/joint-plan/model/compute.ts";
import type { KeptPlans } from "../../cells/joint-plan/model/kept.ts";
import type { NotebookDocument } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import type { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { computed } from "./computed.ts";
import { acted, coverageOf, exampleWith } from "./groundExample.ts";

const example = exampleWith("joint-plan");
const id = "joint-plan";
const plansOf = (graph: NotebookGraph) => graph.lastValue(id) as JointPlans;

/** The notebook really set to a plan. */
const taken = (document: NotebookDocument, graph: NotebookGraph, plan: KeptPlans["plans"][number]) =>
  planSettings(coverageOf(graph), plan).reduce(
    (set, { id, patch }) => setParameters(set, id, patch),
    document,
  );

describe("ratio, recipe and coats together", () => {
  let document: NotebookDocument;
  let graph: NotebookGraph;
  let found: KeptPlans;
  beforeAll(async () => {
    const answer = await acted(example, id, "plan");
    document = answer.document;
    graph = answer.graph;
    found = answer.patch.found as KeptPlans;
  });

  test("every plan gives what it says once the three cells are set to it", async () => {
    // independent slow method: the notebook itself; amounts and shares are kept to four digits
    for (const plan of found.plans) {
      const set = await computed(taken(document, graph, plan));
      const coverage = coverageOf(set);
      const { current } = plansOf(set);
      expect(Math.abs(current.difference - plan.worst)).toBeLessThan(0.01);
      // identity: wet film × area ÷ transfer efficiency
      expect(current.litres).toBeCloseTo((plan.basecoatVolume + plan.colourVolume) / 1000, 3);
      expect(coverage.dryBuild).toBeCloseTo(plan.dryBuild, 1);
      expect(coverage.dryBuild).toBeLessThanOrEqual(60.01);
      expect(coverage.recipe.mix.loading).toBeLessThanOrEqual(0.25 + 1e-4);
      const quantities = coverageQuantities(coverage);
      plan.inLights.slice(1).forEach((worst, k) => {
        const light = coverage.viewing.others[k].weights.illuminant;
        const inLight = quantities.filter(({ name }) => name.endsWith(`-difference-${light}`));
        expect(Math.abs(Math.max(...inLight.map(({ value }) => value!)) - worst)).toBeLessThan(0.01);
      });
      const passes = plan.worst <= 1 && plan.inLights.slice(1).every((d) => d <= 2);
      expect(plan.passes).toBe(passes);
    }
  });

  test("the leanest plan passes, nothing leaner does, and more volume buys a smaller difference", () => {
    const best = found.plans[found.best];
    expect(found.feasible).toBe(true);
    expect(best.passes).toBe(true);
    const volume = ({ basecoatVolume, colourVolume }: typeof best) => basecoatVolume + colourVolume;
    for (let k = 0; k < found.plans.length; k++) {
      if (found.plans[k].passes) expect(volume(found.plans[k])).toBeGreaterThanOrEqual(volume(best) - 1e-6);
      if (k > 0) expect(volume(found.plans[k])).toBeGreaterThan(volume(found.plans[k - 1]) - 1e-6);
    }
    expect(found.plans.at(-1)!.worst).toBeLessThan(found.plans[0].worst);
    expect(plansOf(graph).current.litres).toBeGreaterThan(volume(best) / 1000);
  });

  test("its panels are those of the notebook once it is set", async () => {
    // identity
    const { parts } = plansOf(graph).previews[found.best]!;
    const set = coverageOf(await computed(taken(document, graph, found.plans[found.best])));
    parts.forEach(({ seen, difference }, p) => {
      expect(difference).toBeCloseTo(set.parts[p].painted.difference!, 2);
      for (let c = 0; c < 3; c++) expect(seen.Lab[c]).toBeCloseTo(set.parts[p].painted.Lab[c], 1);
    });
  });

  test("taking a plan does not make the list an earlier question's; another tolerance does", async () => {
    const set = taken(document, graph, found.plans[found.best]);
    expect(plansOf(await computed(set)).isStale).toBe(false);
    expect(plansOf(await computed(setParameters(document, "viewing", { tolerance: 0.5 }))).isStale).toBe(
      true,
    );
    expect(plansOf(await computed(setParameters(document, id, { mostHeavy: 2 }))).isStale).toBe(true);
  });

  test("the cheapest plan costs no more than the leanest", async () => {
    const { patch } = await acted(setParameters(example, id, { goal: "cost" }), id, "plan");
    const cheap = patch.found as KeptPlans;
    expect(cheap.plans[cheap.best].passes).toBe(true);
    expect(cheap.plans[cheap.best].cost!).toBeLessThanOrEqual(found.plans[found.best].cost! + 0.01);
  });

  test("a red needs both a basecoat and more than one coat over black", () => {
    // common practice: thin films over black never pass
    for (const plan of found.plans) {
      if (plan.lightCoats + plan.heavyCoats < 2) expect(plan.passes).toBe(false);
    }
  });
});

test("without any basecoat no plan passes over black, and the nearest is told", async () => {
  // common practice: a correct red cannot reach its target over black within any sensible number of coats
  const bare = setParameters(example, id, { leastBasecoats: 0, mostBasecoats: 0 });
  const { patch } = await acted(bare, id, "plan");
  const found = patch.found as KeptPlans;
  expect(found.feasible).toBe(false);
  expect(found.plans.every(({ passes }) => !passes)).toBe(true);
  expect(found.notes.join()).toMatch(/nearest leaves/);
  const { worst } = found.plans[found.best];
  expect(worst).toBe(Math.min(...found.plans.map((plan) => plan.worst)));
});

test.each([
  ["more basecoats asked than allowed", { leastBasecoats: 4 }, "mostBasecoats", /At least 4 basecoats/],
  ["more light coats asked than allowed", { leastLight: 3 }, "mostLight", /At least 3 light coats/],
  ["no colour coat", { leastLight: 0, mostLight: 0, mostHeavy: 0 }, "mostHeavy", /No colour coat/],
])("%s: the message names the field", async (_, patch, field, message) => {
  const graph = await computed(setParameters(example, id, patch));
  await expect(graph.act(id, "plan", new AbortController().signal)).rejects.toMatchObject({
    field,
    message: expect.stringMatching(message),
  });
});
