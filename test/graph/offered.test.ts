import { describe, expect, test } from "vitest";
import { type CellKind, cellDefiner, type Registry } from "../../src/graph/defineCell.ts";
import type { GraphCell } from "../../src/graph/graphCell.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { hasNumbers } from "../../src/graph/offered.ts";
import type { Offered } from "../../src/graph/quantity.ts";

const defineCell = cellDefiner<{ any: Offered; number: number; text: string }>();

const source = defineCell({
  kind: "source",
  label: "Source",
  about: "",
  inputs: {},
  output: "number",
  parameters: {
    value: { type: "number", label: "Value", min: 0, max: 10, step: 1, initial: 1 },
    name: { type: "text", label: "Name", initial: "", maxLength: 10 },
  },
  compute: (_, { value }) => value,
  quantities: (value) => [{ name: "square", label: "square", unit: "", value: value * value, digits: 0 }],
});

const silent = defineCell({
  kind: "silent",
  label: "Silent",
  about: "",
  inputs: {},
  output: "text",
  parameters: {},
  compute: () => "nothing",
});

const asker = defineCell({
  kind: "asker",
  label: "Asker",
  about: "",
  inputs: {
    about: { type: "any", label: "About", many: true },
    number: { type: "number", label: "Number", optional: true },
  },
  parameters: {},
  compute: ({ about, number }) => ({ about, number }),
});

const registry: Registry = new Map(([source, silent, asker] as CellKind[]).map((kind) => [kind.kind, kind]));
const cell = (id: string, kind: string, more: Partial<GraphCell> = {}): GraphCell => ({
  id,
  kind,
  title: id.toUpperCase(),
  parameters: {},
  inputs: {},
  ...more,
});

async function outcomeOf(cells: GraphCell[], id: string) {
  const graph = new NotebookGraph(registry);
  graph.setCells(cells);
  await graph.settled();
  const outcome = graph.outcome(id);
  graph.dispose();
  return outcome;
}

describe('a port of type "any"', () => {
  test("takes cells of every kind, with their numbers and the settings that can be moved", async () => {
    const outcome = await outcomeOf(
      [
        cell("a", "source", { parameters: { value: 3 } }),
        cell("b", "silent"),
        cell("c", "asker", { inputs: { about: ["a", "b"], number: "a" } }),
      ],
      "c",
    );
    expect(outcome.status).toBe("ok");
    const { about, number } = (outcome as { value: { about: Offered[]; number: number } }).value;
    expect(number).toBe(3); // a typed port still receives the value itself
    expect(about.map(({ cell, title }) => [cell, title])).toEqual([
      ["a", "A"],
      ["b", "B"],
    ]);
    expect(about[0].quantities.map(({ name, value }) => [name, value])).toEqual([["square", 9]]);
    expect(about[0].settings.map(({ name, value }) => [name, value])).toEqual([["value", 3]]);
    expect(about[1].quantities).toEqual([]);
  });

  test("settings that are not given stand at their initial value", async () => {
    const outcome = await outcomeOf(
      [cell("a", "source"), cell("c", "asker", { inputs: { about: "a" } })],
      "c",
    );
    expect((outcome as { value: { about: Offered[] } }).value.about[0].settings[0].value).toBe(1);
  });

  test("settings follow when only the giver is changed", async () => {
    const graph = new NotebookGraph(registry);
    const asking = cell("c", "asker", { inputs: { about: "a" } });
    const settingAt = async (value: number) => {
      graph.setCells([cell("a", "source", { parameters: { value } }), asking]);
      await graph.settled();
      const { about } = (graph.outcome("c") as { value: { about: Offered[] } }).value;
      return [about[0].settings[0].value, about[0].quantities[0].value];
    };
    expect(await settingAt(2)).toEqual([2, 4]);
    expect(await settingAt(5)).toEqual([5, 25]);
    graph.dispose();
  });

  test("a broken cell blocks the one that asks about it", async () => {
    const outcome = await outcomeOf(
      [cell("a", "source", { parameters: { value: 99 } }), cell("c", "asker", { inputs: { about: "a" } })],
      "c",
    );
    expect(outcome).toMatchObject({ status: "blocked", root: "a" });
  });

  test("other ports still refuse what does not fit", async () => {
    const outcome = await outcomeOf(
      [cell("b", "silent"), cell("c", "asker", { inputs: { about: "b", number: "b" } })],
      "c",
    );
    expect(outcome).toMatchObject({ status: "error", field: "number" });
  });

  test("only kinds with numbers are offered, and never those that ask", () => {
    expect([source, silent, asker].map((kind) => hasNumbers(kind as CellKind))).toEqual([true, false, false]);
  });
});
