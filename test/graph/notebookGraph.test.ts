import { describe, expect, test } from "vitest";
import { type CellKind, cellDefiner, type Registry } from "../../src/graph/defineCell.ts";
import type { GraphCell } from "../../src/graph/graphCell.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { Offered } from "../../src/graph/quantity.ts";

const defineCell = cellDefiner<{ any: Offered; number: number; text: string }>();

let computed: string[] = [];

const source = defineCell({
  kind: "source",
  label: "Source",
  about: "",
  inputs: {},
  output: "number",
  parameters: { value: { type: "number", label: "Value", min: 0, max: 10, step: 1, initial: 1 } },
  compute: (_, { value }, { title }) => {
    computed.push(title);
    return value;
  },
});

const sum = defineCell({
  kind: "sum",
  label: "Sum",
  about: "",
  inputs: {
    terms: { type: "number", label: "Terms", many: true },
    offset: { type: "number", label: "Offset", optional: true },
  },
  output: "number",
  parameters: {
    fail: {
      type: "choice",
      label: "Fail",
      options: [
        { value: "no", label: "no" },
        { value: "input", label: "input" },
        { value: "bug", label: "bug" },
      ],
      initial: "no",
    },
  },
  compute: ({ terms, offset }, { fail }, { title }) => {
    computed.push(title);
    if (fail === "input")
      throw new InputError("the terms do not fit", { field: "terms", wayOut: "Link others" });
    if (fail === "bug") throw new TypeError("undefined is not a function");
    return terms.reduce((a, b) => a + b, offset ?? 0);
  },
});

const slow = defineCell({
  kind: "slow",
  label: "Slow",
  about: "",
  inputs: { from: { type: "number", label: "From" } },
  output: "text",
  parameters: {},
  compute: ({ from }, _, { signal, progress }) =>
    new Promise<string>((resolve) => {
      progress(0.5, "half way");
      // Never settles by itself when aborted: the graph must not wait for it.
      if (from < 5) setTimeout(() => resolve(`slow ${from}${signal.aborted ? " aborted" : ""}`), 20);
    }),
});

const registry: Registry = new Map([source, sum, slow].map((kind) => [kind.kind, kind as CellKind]));

function cell(id: string, kind: string, inputs: GraphCell["inputs"] = {}, parameters = {}): GraphCell {
  return { id, kind, title: id.toUpperCase(), parameters, inputs };
}

async function settled(cells: GraphCell[]) {
  const graph = new NotebookGraph(registry);
  graph.setCells(cells);
  await graph.settled();
  return graph;
}

describe("NotebookGraph", () => {
  test("values flow along links, in any order of cells", async () => {
    const graph = await settled([
      cell("total", "sum", { terms: ["a", "b"] }),
      cell("a", "source", {}, { value: 2 }),
      cell("b", "source", {}, { value: 3 }),
    ]);
    expect(graph.outcome("total")).toMatchObject({ status: "ok", value: 5 });
  });

  test("a change recomputes dependents only, and an unchanged value stops nothing else", async () => {
    const a = cell("a", "source", {}, { value: 2 });
    const b = cell("b", "source", {}, { value: 3 });
    const total = cell("total", "sum", { terms: ["a", "b"] });
    const graph = await settled([a, b, total]);
    computed = [];
    graph.setCells([a, { ...b, parameters: { value: 4 } }, total]);
    await graph.settled();
    expect(computed).toEqual(["B", "TOTAL"]);
    expect(graph.outcome("total")).toMatchObject({ value: 6 });
    computed = [];
    graph.setCells([a, { ...b, parameters: { value: 4 } }, total].reverse());
    await graph.settled();
    // The parameters object is new but its cell alone is computed again.
    expect(computed.includes("A")).toBe(false);
  });

  test("an error names its field and way out; dependents are blocked by the root, not the neighbour", async () => {
    const graph = await settled([
      cell("a", "source"),
      cell("b", "sum", { terms: ["a"] }, { fail: "input" }),
      cell("c", "sum", { terms: ["b"] }),
      cell("d", "sum", { terms: ["c", "a"] }),
    ]);
    expect(graph.outcome("b")).toMatchObject({
      status: "error",
      field: "terms",
      wayOut: "Link others",
      bug: false,
    });
    expect(graph.outcome("c")).toMatchObject({ status: "blocked", root: "b", rootTitle: "B" });
    expect(graph.outcome("d")).toMatchObject({ status: "blocked", root: "b", rootTitle: "B" });
    expect(graph.outcome("a").status).toBe("ok");
  });

  test("a thrown bug shows as a bug and the rest goes on", async () => {
    const graph = await settled([cell("a", "source"), cell("b", "sum", { terms: ["a"] }, { fail: "bug" })]);
    expect(graph.outcome("b")).toMatchObject({ status: "error", bug: true });
    expect(graph.outcome("a").status).toBe("ok");
  });

  test.each([
    ["a missing link", {}, /Terms|not linked/],
    ["a link to nowhere", { terms: "gone" }, /"gone" is not in this notebook/],
    ["an unknown input", { terms: "a", other: "a" }, /no input called "other"/],
    ["a cell of the wrong type", { terms: "words" }, /cannot come from "WORDS"/],
  ])("%s is an error", async (name, inputs, message) => {
    const graph = await settled([
      cell("a", "source"),
      cell("words", "slow", { from: "a" }),
      cell("b", "sum", inputs),
    ]);
    const outcome = graph.outcome("b");
    // A port that takes many accepts none only when it is optional.
    if (name === "a missing link") expect(outcome).toMatchObject({ status: "error", field: "terms" });
    else expect(outcome).toMatchObject({ status: "error" });
    expect((outcome as { message: string }).message).toMatch(message);
  });

  test("a parameter out of range names field, value and range", async () => {
    const graph = await settled([cell("a", "source", {}, { value: 11 })]);
    expect(graph.outcome("a")).toMatchObject({
      status: "error",
      field: "value",
      message: "Value is 11: a number from 0 to 10 is allowed",
    });
  });

  test("a loop in a loaded file shows on its members and heals when a link is cut", async () => {
    const b = cell("b", "sum", { terms: ["a", "d"] });
    const c = cell("c", "sum", { terms: ["b"] });
    const d = cell("d", "sum", { terms: ["c"] });
    const after = cell("after", "sum", { terms: ["d"] });
    const graph = await settled([cell("a", "source"), b, c, d, after]);
    for (const id of ["b", "c", "d"]) {
      expect(graph.outcome(id)).toMatchObject({ status: "error" });
      expect((graph.outcome(id) as { message: string }).message).toMatch(/wait for each other: .* → .* → /);
    }
    expect(graph.outcome("after").status).toBe("blocked");
    graph.setCells([cell("a", "source"), { ...b, inputs: { terms: ["a"] } }, c, d, after]);
    await graph.settled();
    for (const id of ["b", "c", "d", "after"])
      expect(graph.outcome(id)).toMatchObject({ status: "ok", value: 1 });
  });

  test("long work is aborted by newer inputs, even when it never settles by itself", async () => {
    const graph = new NotebookGraph(registry);
    const seen: string[] = [];
    graph.subscribe((id, outcome) => {
      if (id === "s") seen.push(outcome.status);
    });
    const s = cell("s", "slow", { from: "a" });
    graph.setCells([cell("a", "source", {}, { value: 9 }), s]);
    await new Promise((resolve) => setTimeout(resolve, 30));
    expect(graph.outcome("s")).toMatchObject({ status: "running", share: 0.5, text: "half way" });
    graph.setCells([cell("a", "source", {}, { value: 2 }), s]);
    await graph.settled();
    expect(graph.outcome("s")).toMatchObject({ status: "ok", value: "slow 2" });
    expect(seen).toContain("running");
  });

  test("a removed cell breaks the links to it and nothing else", async () => {
    const a = cell("a", "source");
    const b = cell("b", "sum", { terms: ["a"] });
    const graph = await settled([a, b]);
    graph.setCells([b]);
    await graph.settled();
    expect(graph.outcome("b")).toMatchObject({ status: "error", field: "terms" });
    graph.setCells([b, a]);
    await graph.settled();
    expect(graph.outcome("b")).toMatchObject({ status: "ok", value: 1 });
  });

  test("names of the page's globals are no cells", async () => {
    const graph = await settled([cell("b", "sum", { terms: ["console"] })]);
    expect(graph.outcome("b")).toMatchObject({ status: "error" });
  });
});
