import { describe, expect, test } from "vitest";
import { NotebookHistory } from "../../src/document/history.ts";
import { mergeNotebooks } from "../../src/document/merge.ts";
import {
  emptyNotebook,
  type NotebookDocument,
  parseNotebook,
  serialiseNotebook,
} from "../../src/document/notebook.ts";
import { removeCell, setParameters } from "../../src/document/operations.ts";
import { fold, sameWork, sameWorkText, viewOf, withView } from "../../src/document/view.ts";

const notebook = (...ids: string[]): NotebookDocument => ({
  ...emptyNotebook("Test"),
  cells: ids.map((id) => ({ id, kind: "note", title: id, parameters: { text: '\n "view": {' }, inputs: {} })),
});
const two = notebook("a", "b");

// identity: all of it follows from what a look is, which is no work
describe("how a notebook is looked at", () => {
  test("folding keeps the cells as they were, and unfolding leaves no trace", () => {
    const folded = fold(two, ["a"], true);
    expect(folded.cells).toBe(two.cells);
    expect(viewOf(folded).folded).toEqual(["a"]);
    expect(fold(folded, ["a"], true)).toBe(folded);
    expect(fold(folded, ["a"], false)).toEqual(two);
  });

  test("is saved with the notebook, and a notebook of version 1 has none", () => {
    const folded = fold(two, ["b"], true);
    expect(parseNotebook(serialiseNotebook(folded))).toEqual(folded);
    const old = serialiseNotebook(two).replace('"version": 2', '"version": 1');
    expect(parseNotebook(old)).toEqual(two);
  });

  test("two saved states that differ in it alone are the same work, others are not", () => {
    const folded = fold(two, ["a"], true);
    const worked = setParameters(folded, "a", { text: "other" });
    const sight = withView(two, { folded: [], sight: [{ cell: "a", piece: "verdict" }] });
    for (const [other, same] of [
      [folded, true],
      [sight, true],
      [worked, false],
      [notebook("a"), false],
    ] as const) {
      expect(sameWork(two, other)).toBe(same);
      expect(sameWorkText(serialiseNotebook(two), serialiseNotebook(other))).toBe(same);
    }
  });

  test("a text that is not whole is not the same work as any other", () => {
    const whole = serialiseNotebook(fold(two, ["a"], true));
    for (let cut = 1; cut < whole.length; cut++) {
      expect(sameWorkText(whole.slice(0, -cut), whole)).toBe(false);
      expect(sameWorkText(whole.slice(0, -cut), serialiseNotebook(two))).toBe(false);
    }
  });

  test("is no step that could be undone, and undoing leaves it", () => {
    const history = NotebookHistory.startingWith(two, "r1");
    const worked = setParameters(two, "a", { text: "other" });
    history.record(worked, "Other text", 0);
    const folded = fold(worked, ["b"], true);
    expect(history.look(folded)).toMatchObject({ kind: "view" });
    expect(history.look(folded)).toBeUndefined();
    expect(history.undoable?.label).toBe("Other text");
    history.undo();
    expect(history.document).toEqual(fold(two, ["b"], true));
  });

  test("is never in conflict: ours where we changed it, else theirs", () => {
    const [ours, theirs] = [fold(two, ["a"], true), fold(two, ["b"], true)];
    const merged = (mine: NotebookDocument) => mergeNotebooks(two, mine, theirs, {});
    expect(merged(ours)).toMatchObject({ conflicts: [], document: { view: { folded: ["a"] } } });
    expect(merged(setParameters(two, "a", { text: "x" })).document.view).toEqual(theirs.view);
  });

  test("what is said of a cell that is gone does no harm", () => {
    const gone = removeCell(fold(two, ["a"], true), "a");
    expect(parseNotebook(serialiseNotebook(gone))).toEqual(gone);
  });
});
