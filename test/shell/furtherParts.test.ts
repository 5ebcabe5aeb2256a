import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import demoText from "../../data/examples/the-lantern-room.json?raw";
import { type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { setLinks } from "../../src/document/operations.ts";
import { NotebookStore } from "../../src/shell/notebookStore.ts";
import { starter } from "../../src/shell/starters.ts";

const storeOf = (document: NotebookDocument) =>
  new NotebookStore(registry, document, () => Promise.reject(new Error("no long tasks here")));
const taking = ({ document }: NotebookStore, id: string) =>
  document.cells
    .filter(({ inputs }) => Object.values(inputs).some((givers) => [givers].flat().includes(id)))
    .map((cell) => cell.id);

// identity: who takes the first part takes the further one; nothing else changes.
describe("a further part", async () => {
  const job = await starter("job");

  test("copied, it is taken wherever the part is, after it", () => {
    const store = storeOf(job);
    const copy = store.duplicate("part")!;
    expect(taking(store, copy)).toEqual(taking(store, "part"));
    expect(taking(store, copy)).toContain("cover");
    expect(store.cell("cover")!.inputs.parts).toEqual(["part", copy]);
    store.graph.dispose();
  });

  test("added, it is taken wherever the last part is", () => {
    const store = storeOf(job);
    const added = store.add(registry.get("substrate")!, 2)!;
    expect(taking(store, added)).toEqual(taking(store, "part"));
    store.graph.dispose();
  });

  test("who takes only some parts, and not this one, does not take its copy", () => {
    const demo = parseNotebook(demoText);
    const parts = demo.cells.filter(({ kind }) => kind === "substrate").map(({ id }) => id);
    const cover = demo.cells.find(({ kind }) => kind === "coverage")!.id;
    const store = storeOf(setLinks(demo, cover, "parts", parts.slice(1)));
    const copy = store.duplicate(parts[0])!;
    expect(store.cell(cover)!.inputs.parts).toEqual(parts.slice(1));
    expect(taking(store, copy)).not.toContain(cover);
    store.graph.dispose();
  });

  test("inputs that take one cell, and lists of any cells, stay as they are", () => {
    const store = storeOf(job);
    const before = store.document.cells.map(({ id, inputs }) => [id, inputs]);
    const copy = store.duplicate("mix")!;
    expect(
      store.document.cells.filter(({ id }) => id !== copy).map(({ id, inputs }) => [id, inputs]),
    ).toEqual(before);
    store.graph.dispose();
  });
});
