import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type CellChoice, mergeNotebooks } from "../../src/document/merge.ts";
import {
  checkNotebook,
  emptyNotebook,
  type NotebookCell,
  type NotebookDocument,
} from "../../src/document/notebook.ts";
import { sameValue } from "../../src/document/sameValue.ts";
import { afterEdits, anyEdits, anyNotebook } from "./notebookArbitrary.ts";

const cell = (id: string, x = 0, inputs: Record<string, string> = {}): NotebookCell => ({
  id,
  kind: "note",
  title: `Cell ${id}`,
  parameters: { x },
  inputs,
});
const notebook = (...cells: NotebookCell[]): NotebookDocument => ({ ...emptyNotebook("Test"), cells });
const ids = (document: NotebookDocument) => document.cells.map(({ id }) => id).join(" ");
const find = (document: NotebookDocument, id: string) => document.cells.find((other) => other.id === id);

/** A state and two that people made of it, with any choices. */
const anyThree = fc
  .tuple(anyNotebook, anyEdits, anyEdits, fc.array(fc.constantFrom<CellChoice>("ours", "theirs", "both")))
  .map(([base, mine, others, choices]) => ({
    base,
    ours: afterEdits(base, mine),
    theirs: afterEdits(base, others),
    choices,
  }));
/** Three states that need have nothing to do with one another. */
const anyStrangers = fc.record({ base: anyNotebook, ours: anyNotebook, theirs: anyNotebook });

describe("merging cell by cell", () => {
  test("when one side did nothing, the other's state is the answer", () => {
    // identity
    fc.assert(
      fc.property(anyThree, ({ base, ours, theirs }) => {
        expect(mergeNotebooks(base, ours, base)).toMatchObject({
          document: ours,
          conflicts: [],
          fromTheirs: [],
        });
        expect(mergeNotebooks(base, base, theirs)).toMatchObject({ document: theirs, conflicts: [] });
        expect(mergeNotebooks(base, ours, ours)).toMatchObject({ document: ours, conflicts: [] });
      }),
      { numRuns: 300 },
    );
  });

  test("gives a notebook that can be saved, whatever meets", () => {
    fc.assert(
      fc.property(fc.oneof(anyThree, anyStrangers), (three) => {
        const { base, ours, theirs } = three;
        const plain = mergeNotebooks(base, ours, theirs);
        const choices = "choices" in three ? three.choices : [];
        const cells = new Map(plain.conflicts.map(({ id }, k) => [id, choices[k] ?? "both"]));
        for (const { document } of [plain, mergeNotebooks(base, ours, theirs, { cells, title: "theirs" })]) {
          expect(checkNotebook(JSON.parse(JSON.stringify(document)))).toEqual(
            JSON.parse(JSON.stringify(document)),
          );
        }
      }),
      { numRuns: 500 },
    );
  });

  test("loses nothing: what a side has changed or added is in the answer or named as a conflict", () => {
    fc.assert(
      fc.property(fc.oneof(anyThree, anyStrangers), ({ base, ours, theirs }) => {
        const { document, conflicts } = mergeNotebooks(base, ours, theirs);
        const isThere = (wanted: NotebookCell) =>
          document.cells.some((found) => sameValue(found, wanted) || sameContent(found, wanted)) ||
          conflicts.some(({ id }) => id === wanted.id);
        for (const side of [ours, theirs])
          for (const wanted of side.cells)
            if (!sameValue(wanted, find(base, wanted.id))) expect(isThere(wanted), wanted.id).toBe(true);
        // What neither has is not there; what one removed and the other left alone is gone.
        for (const { id } of document.cells) {
          const inBase = find(base, id);
          if (!inBase) continue;
          for (const [one, other] of [
            [ours, theirs],
            [theirs, ours],
          ])
            if (!find(one, id)) expect(sameValue(find(other, id), inBase), id).toBe(false);
        }
      }),
      { numRuns: 500 },
    );
  });

  /** Equal but for the id and links, which may follow a new id. */
  function sameContent(a: NotebookCell, b: NotebookCell): boolean {
    return (
      a.title === b.title &&
      a.kind === b.kind &&
      sameValue(a.parameters, b.parameters) &&
      sameValue(Object.keys(a.inputs), Object.keys(b.inputs))
    );
  }

  test("both sides see the same conflicts", () => {
    // identity: symmetry
    fc.assert(
      fc.property(anyThree, ({ base, ours, theirs }) => {
        const conflicting = (merge: ReturnType<typeof mergeNotebooks>) =>
          merge.conflicts.map(({ id }) => id).sort();
        expect(conflicting(mergeNotebooks(base, ours, theirs))).toEqual(
          conflicting(mergeNotebooks(base, theirs, ours)),
        );
      }),
      { numRuns: 300 },
    );
  });

  test("two changed cells, one on each side, both arrive", () => {
    const base = notebook(cell("a"), cell("b"), cell("c"));
    const ours = notebook(cell("a", 1), cell("b"), cell("c"), cell("mine"));
    const theirs = notebook(cell("new"), cell("a"), cell("b", 2));
    const { document, conflicts, fromTheirs } = mergeNotebooks(base, ours, theirs);
    expect(conflicts).toEqual([]);
    expect(document).toEqual(notebook(cell("new"), cell("a", 1), cell("b", 2), cell("mine")));
    expect(fromTheirs).toEqual(["b", "c", "new"]);
  });

  test("a cell changed on both sides is a conflict with three ways out", () => {
    const base = notebook(cell("a"), cell("b"));
    const ours = notebook(cell("a", 1), cell("b"));
    const theirs = notebook(cell("a", 2), cell("b"));
    const plain = mergeNotebooks(base, ours, theirs);
    expect(plain.conflicts).toEqual([
      { id: "a", title: "Cell a", base: cell("a"), ours: cell("a", 1), theirs: cell("a", 2), chosen: "ours" },
    ]);
    const choose = (choice: CellChoice) =>
      mergeNotebooks(base, ours, theirs, { cells: new Map([["a", choice]]) }).document.cells;
    expect(choose("ours")[0]).toEqual(cell("a", 1));
    expect(choose("theirs")[0]).toEqual(cell("a", 2));
    expect(choose("both").slice(0, 2)).toEqual([
      cell("a", 1),
      { ...cell("a", 2), id: "a-2", title: "Cell a (other version)" },
    ]);
  });

  test("removed here, changed there: it stays unless its removal is chosen", () => {
    const base = notebook(cell("a"), cell("b"));
    const ours = notebook(cell("b"));
    const theirs = notebook(cell("a", 2), cell("b"));
    expect(mergeNotebooks(base, ours, theirs)).toMatchObject({
      document: theirs,
      conflicts: [{ id: "a", ours: undefined, chosen: "theirs" }],
    });
    expect(mergeNotebooks(base, theirs, ours).document).toEqual(theirs);
    const cells = new Map([["a", "ours" as const]]);
    expect(mergeNotebooks(base, ours, theirs, { cells }).document).toEqual(ours);
  });

  test("two new cells under one id are two cells, and links follow their own", () => {
    const base = notebook(cell("a"));
    const ours = notebook(cell("a"), cell("note", 1), cell("user", 0, { in: "note" }));
    const theirs = notebook(cell("a"), cell("note", 2), cell("reader", 0, { in: "note" }));
    const { document, conflicts } = mergeNotebooks(base, ours, theirs);
    expect(conflicts).toEqual([]);
    expect(find(document, "note")).toEqual(cell("note", 2));
    expect(find(document, "note-2")).toEqual({ ...cell("note", 1), id: "note-2" });
    expect(find(document, "reader")?.inputs).toEqual({ in: "note" });
    expect(find(document, "user")?.inputs).toEqual({ in: "note-2" });
  });

  test.each([
    ["only ours moved", "a b c d", "d a b c", "a b x c d", "d a b x c"],
    ["only theirs moved", "a b c d", "a b x c d", "d c b a", "d c b x a"],
    ["both moved: ours leads", "a b c", "c b a", "b a c x", "c x b a"],
    ["new at the top", "a b", "a b", "x y a b", "x y a b"],
    ["both added at one place", "a b", "a m b", "a t b", "a t m b"],
  ])("order: %s", (_, base, ours, theirs, expected) => {
    const of = (order: string) => notebook(...order.split(" ").map((id) => cell(id)));
    expect(ids(mergeNotebooks(of(base), of(ours), of(theirs)).document)).toBe(expected);
  });

  test("a side that shows a cell as the other once had it has not changed it", () => {
    const base = notebook(cell("a"), cell("b"));
    const [past, ours] = [notebook(cell("a", 1), cell("b")), notebook(cell("a", 2), cell("b"))];
    const theirs = notebook(cell("a", 1), cell("b", 9));
    expect(mergeNotebooks(base, ours, theirs).conflicts).toHaveLength(1);
    const merge = mergeNotebooks(base, ours, theirs, {}, { ours: [base, past, ours] });
    expect([merge.conflicts, merge.document]).toEqual([[], notebook(cell("a", 2), cell("b", 9))]);
    const mirrored = mergeNotebooks(base, theirs, ours, {}, { theirs: [base, past, ours] });
    expect([mirrored.conflicts, mirrored.document]).toEqual([[], merge.document]);
  });

  test("titles", () => {
    const titled = (title: string) => ({ ...notebook(), title });
    expect(mergeNotebooks(titled("a"), titled("a"), titled("b")).document.title).toBe("b");
    expect(mergeNotebooks(titled("a"), titled("c"), titled("a")).document.title).toBe("c");
    const both = mergeNotebooks(titled("a"), titled("b"), titled("c"));
    expect([both.document.title, both.titleConflict]).toEqual(["b", { ours: "b", theirs: "c" }]);
    expect(mergeNotebooks(titled("a"), titled("b"), titled("c"), { title: "theirs" }).document.title).toBe(
      "c",
    );
  });
});
