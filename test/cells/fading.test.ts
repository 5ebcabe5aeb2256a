import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import type { Fading } from "../../cells/fading/define.ts";
import { deltaE2000, deltaEab } from "../../src/colour/difference.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import type { Outcome } from "../../src/graph/outcome.ts";
import { runDirect } from "../../src/workers/direct.ts";

const Lab = (id: string, [L, a, b]: readonly number[], more = {}) => ({
  id,
  kind: "target",
  title: id,
  parameters: { source: "lab", L, a, b, specular: "excluded", ...more },
  inputs: {},
});
// Dead gloss off the highlight: Lab readings with the reflection excluded are seen as they are.
const viewing = { id: "v", kind: "viewing", title: "V", parameters: { sheen: 0 }, inputs: {} };

async function outcomeOf(
  cells: readonly { id: string; kind: string; title: string; parameters: object; inputs: object }[],
  parameters: Record<string, unknown> = {},
  inputs: Record<string, string> = { reference: "new", faded: "old", viewing: "v" },
): Promise<Outcome<Fading>> {
  const graph = new NotebookGraph(registry, runDirect);
  try {
    graph.setCells([...cells, viewing, { id: "f", kind: "fading", title: "F", parameters, inputs }] as never);
    await graph.settled();
    return graph.outcome("f") as Outcome<Fading>;
  } finally {
    graph.dispose();
  }
}

async function computed(...args: Parameters<typeof outcomeOf>) {
  const outcome = await outcomeOf(...args);
  if (outcome.status !== "ok") throw new Error(JSON.stringify(outcome));
  return { value: outcome.value, notes: outcome.notes.join("\n") };
}

const before = [40, 50, 30];
const after = [44, 40, 22];

describe("fading", () => {
  test("differences, grade and words are of the faded part against the reference", async () => {
    const { value } = await computed([Lab("new", before), Lab("old", after)]);
    expect(value.report.deltaE2000).toBeCloseTo(deltaE2000(before, after), 9);
    expect(value.report.deltaEab).toBeCloseTo(deltaEab(before, after), 9);
    expect(value.report.words.text).toMatch(/lighter, duller/);
  });

  test.each<[string, number, string]>([
    // source: ISO 105-A05, ΔE_F of a grey that only grows lighter is its ΔL*; limits of the grades
    ["nothing", 0, "5"],
    ["0.3", 0.3, "5"],
    ["0.8", 0.8, "4-5"],
    ["1.7", 1.7, "4"],
    ["2.5", 2.5, "3-4"],
    ["3.4", 3.4, "3"],
    ["4.8", 4.8, "2-3"],
    ["6.8", 6.8, "2"],
    ["9.6", 9.6, "1-2"],
    ["13.6", 13.6, "1"],
  ])("a grey lighter by %s has the grade of the grey scale", async (_, by, grade) => {
    const { value } = await computed([Lab("new", [50, 0, 0]), Lab("old", [50 + by, 0, 0])]);
    expect(value.report.grade).toBe(grade);
  });

  test("a reference that was not checked is doubted", async () => {
    const { value, notes } = await computed([Lab("new", before), Lab("old", after)]);
    expect(value.report.reference).toBe("not checked");
    expect(notes).toMatch(/reference was not checked for fading/);
  });

  const spot = (label: string, L: number) => ({ kind: "lab", label, Lab: [L, 50, 30] });

  test("a reference that is lighter where it saw the light may have faded itself", async () => {
    const { value, notes } = await computed([Lab("new", before), Lab("old", after)], {
      hidden: [spot("under the flap", 40), spot("in the seam", 40.2)],
      exposed: [spot("top", 43), spot("front", 43.2)],
    });
    expect(value.report.reference).toBe("may have faded");
    expect(notes).toMatch(/reference itself may have faded: where it saw the light it is lighter/);
  });

  test("one that is the same all over looks unfaded", async () => {
    const { value, notes } = await computed([Lab("new", before), Lab("old", after)], {
      hidden: [spot("under the flap", 40)],
      exposed: [spot("top", 40.1)],
    });
    expect(value.report.reference).toBe("looks unfaded");
    expect(notes).toBe("");
  });

  test("spots are read with the reference's settings where they do not say otherwise", async () => {
    const rose = [60, 30, 20];
    const { value } = await computed([Lab("new", rose, { specular: "included" }), Lab("old", after)], {
      hidden: [{ kind: "lab", label: "flap", Lab: rose }],
      exposed: [{ kind: "lab", label: "top", Lab: rose, specular: "excluded" }],
    });
    // The one read with the reflection loses it, the other does not.
    expect(value.hidden[0].Lab[0]).toBeLessThan(value.exposed[0].Lab[0] - 1);
    expect(value.exposed[0].Lab[0]).toBeCloseTo(60, 9);
  });

  test("the same cell twice is refused", async () => {
    const outcome = await outcomeOf(
      [Lab("new", before)],
      {},
      { reference: "new", faded: "new", viewing: "v" },
    );
    expect(outcome).toMatchObject({ status: "error", field: "faded" });
  });

  test("for another light than D65 the grade is told with a reserve", async () => {
    const graph = new NotebookGraph(registry, runDirect);
    graph.setCells([
      Lab("new", before, { illuminant: "A" }),
      Lab("old", after, { illuminant: "A" }),
      { ...viewing, parameters: { sheen: 0, illuminant: "A" } },
      {
        id: "f",
        kind: "fading",
        title: "F",
        parameters: {},
        inputs: { reference: "new", faded: "old", viewing: "v" },
      },
    ] as never);
    await graph.settled();
    const outcome = graph.outcome("f");
    graph.dispose();
    expect(outcome.status === "ok" && outcome.notes.join("\n")).toMatch(/grade is meant for D65/);
  });
});
