import { describe, expect, test } from "vitest";
import { emptyNotebook } from "../../src/document/notebook.ts";
import { cellDefiner } from "../../src/graph/defineCell.ts";
import type { Offered } from "../../src/graph/quantity.ts";
import { NotebookStore } from "../../src/shell/notebookStore.ts";
import { undoKeyOf } from "../../src/shell/undoKeys.ts";

const defineCell = cellDefiner<{ any: Offered; number: number; text: string }>();

const number = defineCell({
  kind: "number",
  label: "Number",
  about: "",
  inputs: {},
  output: "number",
  parameters: { x: { type: "number", label: "x", min: 0, max: 9, step: 1, initial: 0 } },
  compute: (_, { x }) => x,
});

test("a cell that is removed and at once brought back computes again", async () => {
  const registry = new Map([["number", number]]);
  const cell = { id: "a", kind: "number", title: "A", parameters: { x: 3 }, inputs: {} };
  const document = { ...emptyNotebook("Test"), cells: [cell] };
  const store = new NotebookStore(registry, document, async () => {
    throw new Error("no tasks here");
  });
  await store.graph.settled();
  for (let k = 0; k < 3; k++) {
    store.remove("a");
    store.replace({ ...document, cells: [{ ...cell, parameters: { x: k } }] });
  }
  await store.graph.settled();
  expect(store.graph.outcome("a")).toMatchObject({ status: "ok", value: 2 });
  store.dispose();
});

describe("keys for undo", () => {
  const key = (text: string) => {
    const parts = text.split("+");
    return {
      key: parts.at(-1) ?? "",
      ctrlKey: parts.includes("ctrl"),
      metaKey: parts.includes("meta"),
      altKey: parts.includes("alt"),
      shiftKey: parts.includes("shift"),
    };
  };
  test.each([
    ["ctrl+z", "undo"],
    ["meta+z", "undo"],
    ["ctrl+shift+Z", "redo"],
    ["meta+shift+Z", "redo"],
    ["ctrl+y", "redo"],
    ["z", undefined],
    ["alt+z", undefined],
    ["ctrl+alt+z", undefined],
    ["meta+y", undefined],
  ])("%s: %s", (pressed, wish) => expect(undoKeyOf(key(pressed))).toBe(wish));
});
