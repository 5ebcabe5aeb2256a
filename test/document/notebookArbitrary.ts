import fc from "fast-check";
import { emptyNotebook, type NotebookCell, type NotebookDocument } from "../../src/document/notebook.ts";
import * as operations from "../../src/document/operations.ts";

const ids = ["a", "b", "c", "d", "e", "f", "constructor", "note-2"];

/** A cell of a few ids, so that two notebooks share some. */
export const anyCell: fc.Arbitrary<NotebookCell> = fc.record({
  id: fc.constantFrom(...ids),
  kind: fc.constantFrom("note", "target"),
  title: fc.constantFrom("One", "Two", "", "Drei – 赤"),
  parameters: fc.dictionary(
    fc.constantFrom("x", "y", "list", "deep"),
    fc.oneof(
      fc.integer({ min: 0, max: 3 }),
      fc.constant(null),
      fc.array(fc.integer({ min: 0, max: 2 }), { maxLength: 3 }),
      fc.record({ z: fc.integer({ min: 0, max: 2 }), rows: fc.constantFrom([], [{ k: 1 }], [{ k: 2 }, {}]) }),
    ),
    { noNullPrototype: true },
  ),
  inputs: fc.dictionary(
    fc.constantFrom("in", "parts"),
    fc.oneof(fc.constantFrom(...ids), fc.uniqueArray(fc.constantFrom(...ids), { maxLength: 3 })),
    { noNullPrototype: true },
  ),
});

/** A small notebook. */
export const anyNotebook: fc.Arbitrary<NotebookDocument> = fc
  .tuple(
    fc.constantFrom("First", "Second", "Third"),
    fc.uniqueArray(anyCell, { selector: (cell) => cell.id, maxLength: 6 }),
  )
  .map(([title, cells]) => ({ ...emptyNotebook(title), cells }));

export type Edit = (document: NotebookDocument) => NotebookDocument;

const at = (document: NotebookDocument, place: number) => document.cells[place % document.cells.length].id;
const onCell =
  (place: number, change: (document: NotebookDocument, id: string) => NotebookDocument): Edit =>
  (document) =>
    document.cells.length === 0 ? document : change(document, at(document, place));

/** A change as a person makes it. */
export const anyEdit: fc.Arbitrary<Edit> = fc
  .tuple(fc.nat(7), fc.nat(20), fc.nat(20), anyCell)
  .map(([what, place, other, cell]): Edit => {
    switch (what) {
      case 0:
        return (document) => operations.addCell(document, cell, place % (document.cells.length + 1)).document;
      case 1:
        return onCell(place, operations.removeCell);
      case 2:
        return onCell(place, (document, id) => operations.moveCell(document, id, other));
      case 3:
        return onCell(place, (document, id) => operations.renameCell(document, id, `Title ${other % 3}`));
      case 4:
        return onCell(place, (document, id) => operations.setParameters(document, id, cell.parameters));
      case 5:
        return (document) => operations.renameNotebook(document, `Notebook ${other % 3}`);
      case 6:
        return onCell(place, (document, id) => operations.duplicateCell(document, id).document);
      default:
        return onCell(place, (document, id) => {
          try {
            return operations.setLinks(document, id, "in", [at(document, other)]);
          } catch {
            return document; // a loop
          }
        });
    }
  });

/** Several changes, one after another. */
export const anyEdits: fc.Arbitrary<Edit[]> = fc.array(anyEdit, { maxLength: 12 });

export function afterEdits(document: NotebookDocument, edits: readonly Edit[]): NotebookDocument {
  return edits.reduce((state, edit) => edit(state), document);
}
