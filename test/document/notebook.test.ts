import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  checkNotebook,
  emptyNotebook,
  parseNotebook,
  serialiseNotebook,
} from "../../src/document/notebook.ts";
import * as operations from "../../src/document/operations.ts";

const cell = (id: string, inputs: Record<string, string | string[]> = {}) => ({
  id,
  kind: "note",
  title: id,
  parameters: {},
  inputs,
});
const notebook = (...cells: ReturnType<typeof cell>[]) => ({ ...emptyNotebook("Test"), cells });

describe("the saved form", () => {
  const key = fc
    .stringMatching(/^[a-z][a-zA-Z]{0,12}$/)
    .filter((name) => name !== "constructor" && name !== "prototype");
  const id = fc
    .stringMatching(/^[a-z][a-z0-9-]{0,20}$/)
    .filter((name) => name !== "invalidation" && name !== "visibility");
  const plainJson = fc
    .jsonValue({ maxDepth: 3 })
    .filter((value) => !/"(?:__proto__|constructor|prototype)":/.test(JSON.stringify(value)));
  const anyCell = fc.record({
    id,
    kind: fc.stringMatching(/^[a-z][a-z0-9-]{0,20}$/),
    title: fc.string({ maxLength: 80 }),
    parameters: fc.dictionary(key, plainJson, { noNullPrototype: true }),
    inputs: fc.dictionary(key, fc.oneof(id, fc.array(id, { maxLength: 4 })), { noNullPrototype: true }),
  });

  test("round trip", () => {
    // identity: read after write
    fc.assert(
      fc.property(
        fc.string({ maxLength: 80 }),
        fc.uniqueArray(anyCell, { selector: (c) => c.id, maxLength: 8 }),
        (title, cells) => {
          const saved = { ...emptyNotebook(title), cells };
          // JSON has no −0, so compare what JSON keeps.
          expect(parseNotebook(serialiseNotebook(saved))).toEqual(JSON.parse(JSON.stringify(saved)));
        },
      ),
    );
  });

  test("any text is refused in words or read, never a crash of another kind", () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.json()), (text) => {
        try {
          parseNotebook(text);
        } catch (error) {
          expect((error as Error).name).toBe("NotebookFormatError");
        }
      }),
    );
  });

  test.each([
    ["not JSON", "{", /not valid JSON/],
    ["another format", { format: "other", version: 1, title: "", cells: [] }, /not one of our notebooks/],
    [
      "a newer version",
      { ...notebook(), version: 3 },
      /version 3; this Bole reads versions 1 to 2. A newer Bole/,
    ],
    ["an odd version", { ...notebook(), version: 1.5 }, /version 1.5; this Bole reads versions 1 to 2$/],
    ["no version", { format: "bole-notebook", title: "", cells: [] }, /version/],
    ["two cells of one id", notebook(cell("a"), cell("a")), /two cells have the id "a"/],
    ["a bad id", notebook(cell("A b")), /lower-case letters/],
    ["a reserved id", notebook(cell("invalidation")), /lower-case letters/],
    ["a surplus field", { ...notebook(), more: 1 }, /more/],
    [
      "a forbidden name",
      JSON.parse(
        '{"format":"bole-notebook","version":1,"title":"","cells":[{"id":"a","kind":"note","title":"","parameters":{"constructor":1},"inputs":{}}]}',
      ),
      /not allowed/,
    ],
    ["a list instead of an object", [], /notebook/],
  ])("%s is refused", (_, plain, message) => {
    const read = () => (typeof plain === "string" ? parseNotebook(plain) : checkNotebook(plain));
    expect(read).toThrow(message);
  });
});

describe("operations", () => {
  test("add, duplicate, move, rename, remove leave other cells as they were", () => {
    const start = notebook(cell("a"), cell("b", { x: "a" }));
    const added = operations.addCell(start, { kind: "note", title: "New", parameters: {}, inputs: {} }, 1);
    expect(added.document.cells.map((c) => c.id)).toEqual(["a", "note", "b"]);
    expect(added.document.cells[0]).toBe(start.cells[0]);
    const copied = operations.duplicateCell(added.document, "b");
    expect(copied.document.cells[3]).toMatchObject({ id: "b-2", title: "b 2", inputs: { x: "a" } });
    const moved = operations.moveCell(copied.document, "b-2", 0);
    expect(moved.cells.map((c) => c.id)).toEqual(["b-2", "a", "note", "b"]);
    const renamed = operations.renameCell(moved, "a", "Alpha");
    expect(renamed.cells[1].title).toBe("Alpha");
    const removed = operations.removeCell(renamed, "a");
    expect(removed.cells.map((c) => c.id)).toEqual(["b-2", "note", "b"]);
    expect(removed.cells[2].inputs).toEqual({ x: "a" });
    expect(start.cells.map((c) => c.id)).toEqual(["a", "b"]);
  });

  test("a link that would close a loop is refused with its path", () => {
    const document = notebook(
      cell("blend", {}),
      cell("recipe", { x: "blend" }),
      cell("cover", { x: "recipe" }),
    );
    expect(() => operations.setLinks(document, "blend", "y", ["cover"])).toThrow(
      "That link would close a loop: blend → recipe → cover → blend",
    );
    expect(() => operations.setLinks(document, "blend", "y", ["blend"])).toThrow(/blend → blend/);
    expect(operations.setLinks(document, "cover", "x", ["blend"]).cells[2].inputs).toEqual({ x: "blend" });
    expect(operations.setLinks(document, "cover", "x", []).cells[2].inputs).toEqual({});
  });

  test("an unknown cell is refused in words", () => {
    expect(() => operations.removeCell(notebook(), "a")).toThrow('There is no cell "a"');
  });
});
