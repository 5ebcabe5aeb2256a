import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { changeInWords, compareNotebooks } from "../../src/document/compare.ts";
import { type HistoryRecord, longestHistory, NotebookHistory } from "../../src/document/history.ts";
import { emptyNotebook, type NotebookDocument } from "../../src/document/notebook.ts";
import * as operations from "../../src/document/operations.ts";
import { stepBetween, takeStep, takeStepBack } from "../../src/document/patches.ts";
import { sameValue } from "../../src/document/sameValue.ts";
import { afterEdits, anyEdit, anyEdits, anyNotebook } from "./notebookArbitrary.ts";

const cell = (id: string, parameters: Record<string, unknown> = {}) => ({
  id,
  kind: "note",
  title: `Cell ${id}`,
  parameters,
  inputs: {},
});
const notebook = (...cells: ReturnType<typeof cell>[]): NotebookDocument => ({
  ...emptyNotebook("Test"),
  cells,
});

describe("steps between two states", () => {
  test("lead there and back, for any two states", () => {
    // identity: a step and its inverse
    fc.assert(
      fc.property(anyNotebook, anyNotebook, (before, after) => {
        const step = structuredClone(stepBetween(before, after));
        expect(takeStep(before, step)).toEqual(after);
        expect(takeStepBack(after, step)).toEqual(before);
      }),
      { numRuns: 500 },
    );
  });

  test("leave the cells alone that they do not touch", () => {
    const before = notebook(cell("a"), cell("b"), cell("c"));
    const after = operations.setParameters(before, "b", { x: 1 });
    const back = takeStepBack(after, stepBetween(before, after));
    expect(back.cells[0]).toBe(before.cells[0]);
    expect(back.cells[2]).toBe(before.cells[2]);
  });

  test("are small: a cell put in at the top of a thousand does not repeat the others", () => {
    const before = notebook(
      ...Array.from({ length: 1000 }, (_, i) => cell(`c-${i}`, { text: "x".repeat(1000) })),
    );
    const { document } = operations.addCell(before, cell("new"), 0);
    expect(JSON.stringify(stepBetween(before, document)).length).toBeLessThan(20_000);
    const set = operations.setParameters(before, "c-500", { ratio: 0.5 });
    expect(JSON.stringify(stepBetween(before, set)).length).toBeLessThan(200);
  });

  test("nothing differs, nothing is noted", () => {
    const history = NotebookHistory.startingWith(notebook(cell("a", { x: [1, 2] })), "r0");
    expect(history.record(notebook(cell("a", { x: [1, 2] })), "", 0)).toBeUndefined();
    expect(history.undoable).toBeUndefined();
  });
});

describe("history", () => {
  test("undo and redo go through the very states that were", () => {
    fc.assert(
      fc.property(anyNotebook, anyEdits, (start, edits) => {
        const history = NotebookHistory.startingWith(start, "r0");
        const states = [start];
        for (const edit of edits) {
          if (history.record(edit(history.document), "", 0)) states.push(history.document);
        }
        for (let k = states.length - 2; k >= 0; k--) {
          history.undo();
          expect(history.document).toEqual(states[k]);
        }
        expect(history.undo()).toBeUndefined();
        for (const state of states.slice(1)) {
          history.redo();
          expect(history.document).toEqual(state);
        }
        expect(history.redo()).toBeUndefined();
      }),
    );
  });

  type Act = (history: NotebookHistory) => HistoryRecord | undefined;
  const anyAct: fc.Arbitrary<Act> = fc.oneof(
    {
      weight: 5,
      arbitrary: anyEdit.map(
        (edit): Act =>
          (history) =>
            history.record(edit(history.document), "edit", 7),
      ),
    },
    { weight: 2, arbitrary: fc.constant<Act>((history) => history.undo()) },
    { weight: 2, arbitrary: fc.constant<Act>((history) => history.redo()) },
    { weight: 1, arbitrary: fc.constant<Act>((history) => history.acknowledge(history.document, "saved")) },
    {
      weight: 1,
      arbitrary: anyNotebook.map(
        (state): Act =>
          (history) =>
            history.rebase(state, "other"),
      ),
    },
  );

  test("told again from its records it is the same: state, past, future, and what is in the file", () => {
    // identity: replay, also after the records have been drawn together at any moment
    fc.assert(
      fc.property(anyNotebook, fc.array(anyAct, { maxLength: 30 }), fc.nat(30), (start, acts, compactAt) => {
        const history = NotebookHistory.startingWith(start, "r0");
        let records = [history.compact()];
        acts.forEach((act, index) => {
          if (index === compactAt) records = [history.compact()];
          const record = act(history);
          if (record) records.push(record);
        });
        const again = NotebookHistory.replay(structuredClone(records));
        expect(again.document).toEqual(history.document);
        expect(again.saved.revision).toBe(history.saved.revision);
        expect(again.saved.document).toEqual(history.saved.document);
        while (history.undo()) {
          again.undo();
          expect(again.document).toEqual(history.document);
        }
        expect(again.undoable).toBeUndefined();
        while (history.redo()) {
          again.redo();
          expect(again.document).toEqual(history.document);
        }
        expect(again.redoable).toBeUndefined();
      }),
      { numRuns: 200 },
    );
  });

  test("a save that is acknowledged late belongs to the state that was sent", () => {
    const history = NotebookHistory.startingWith(notebook(cell("a")), "r0");
    const sent = operations.setParameters(history.document, "a", { x: 1 });
    history.record(sent, "", 0);
    history.record(operations.setParameters(sent, "a", { x: 2 }), "", 0);
    history.acknowledge(sent, "r1");
    expect(history.saved).toEqual({ document: sent, revision: "r1" });
    expect(history.document.cells[0].parameters).toEqual({ x: 2 });
  });

  test("a new change after an undo takes the place of the undone ones", () => {
    const history = NotebookHistory.startingWith(notebook(cell("a")), "r0");
    for (const x of [1, 2, 3])
      history.record(operations.setParameters(history.document, "a", { x }), `${x}`, 0);
    history.undo();
    history.undo();
    history.record(operations.setParameters(history.document, "a", { x: 9 }), "9", 0);
    expect(history.redoable).toBeUndefined();
    history.undo();
    expect(history.document.cells[0].parameters).toEqual({ x: 1 });
  });

  test(`the last ${longestHistory} gestures can be undone`, () => {
    const history = NotebookHistory.startingWith(notebook(cell("a", { x: -1 })), "r0");
    for (let x = 0; x < longestHistory + 50; x++)
      history.record(operations.setParameters(history.document, "a", { x }), "", 0);
    let undone = 0;
    while (history.undo()) undone++;
    expect(undone).toBe(longestHistory);
    expect(history.document.cells[0].parameters).toEqual({ x: 49 });
  });

  test.each<[string, HistoryRecord[]]>([
    ["no records", []],
    ["no beginning", [{ kind: "undo" }]],
    ["more undone than done", [NotebookHistory.startingWith(notebook(), "r").compact(), { kind: "undo" }]],
    [
      "a step from another state",
      [
        NotebookHistory.startingWith(notebook(), "r").compact(),
        {
          kind: "step",
          entry: {
            label: "",
            at: 0,
            step: { patches: [{ op: "replace", path: ["cells", "#a", "title"], value: "x" }], inverse: [] },
          },
        },
      ],
    ],
  ])("records that do not belong together are refused: %s", (_, records) => {
    expect(() => NotebookHistory.replay(records)).toThrow();
  });
});

describe("what differs, cell by cell", () => {
  test("nothing between a state and itself, and the difference to any other is empty only when they are equal", () => {
    fc.assert(
      fc.property(anyNotebook, anyNotebook, (before, after) => {
        expect(compareNotebooks(before, before)).toEqual({ title: undefined, cells: [] });
        const { title, cells } = compareNotebooks(before, after);
        expect(title === undefined && cells.length === 0).toBe(sameValue(before, after));
        expect(changeInWords(before, after) === "").toBe(sameValue(before, after));
      }),
    );
  });

  test("fields are named; of a moved cell only that one is told", () => {
    const before = notebook(cell("a", { x: 1 }), cell("b"), cell("c"), cell("d"));
    let after = operations.setParameters(before, "a", { x: 2 });
    after = operations.moveCell(after, "d", 1);
    after = operations.removeCell(after, "c");
    after = operations.addCell(after, cell("e")).document;
    expect(compareNotebooks(before, after).cells).toEqual([
      {
        id: "a",
        title: "Cell a",
        change: "changed",
        fields: [{ part: "parameter", name: "x", before: 1, after: 2 }],
      },
      { id: "d", title: "Cell d", change: "moved", fields: [] },
      { id: "e", title: "Cell e", change: "added", fields: [] },
      { id: "c", title: "Cell c", change: "removed", fields: [] },
    ]);
  });

  test("in words", () => {
    const before = notebook(cell("a"), cell("b"));
    expect(changeInWords(before, operations.setParameters(before, "a", { x: 1 }))).toBe(
      "settings of “Cell a”",
    );
    expect(changeInWords(before, operations.removeCell(before, "b"))).toBe("removed: “Cell b”");
    expect(changeInWords(before, operations.renameNotebook(before, "New"))).toBe("title of the notebook");
    expect(changeInWords(before, operations.moveCell(before, "b", 0))).toBe("moved: “Cell b”");
  });

  test("the fewest moved cells explain any new order", () => {
    // identity: the cells that are not told as moved keep their order
    fc.assert(
      fc.property(fc.shuffledSubarray(["a", "b", "c", "d", "e", "f"]), (order) => {
        const before = notebook(...[...order].sort().map((id) => cell(id)));
        const after = notebook(...order.map((id) => cell(id)));
        const moved = new Set(compareNotebooks(before, after).cells.map(({ id }) => id));
        const stayed = order.filter((id) => !moved.has(id));
        expect(stayed).toEqual([...stayed].sort());
        if (order.length > 0) expect(stayed.length).toBeGreaterThan(0);
      }),
    );
  });
});

test("edits of a person never give a notebook that cannot be saved", () => {
  fc.assert(
    fc.property(anyNotebook, anyEdits, (start, edits) => {
      const { cells } = afterEdits(start, edits);
      expect(new Set(cells.map(({ id }) => id)).size).toBe(cells.length);
    }),
  );
});
