import { produce } from "immer";
import type { ItemVersion } from "./libraryItem.ts";
import type { LibraryVersion, NotebookCell, NotebookDocument } from "./notebook.ts";
import { addCell } from "./operations.ts";
import { sameValue } from "./sameValue.ts";

/** Put a version of a library item into a notebook as a cell: a copy, so that nothing depends on the library. */
export function addFromLibrary(
  document: NotebookDocument,
  kind: string,
  name: string,
  version: ItemVersion,
  at: number = document.cells.length,
): { document: NotebookDocument; id: string } {
  const { title, parameters, number } = version;
  return addCell(
    document,
    {
      kind,
      title,
      parameters: structuredClone(parameters),
      inputs: {},
      library: { name, version: number },
    },
    at,
  );
}

/** Take the settings of another version; title and links of the cell stay. */
export function takeVersion(
  document: NotebookDocument,
  id: string,
  name: string,
  version: ItemVersion,
): NotebookDocument {
  return changeCell(document, id, (cell) => ({
    ...cell,
    parameters: structuredClone(version.parameters),
    library: { name, version: version.number },
  }));
}

/** Note which version of the library a cell now is, or that it is none. */
export function noteVersion(
  document: NotebookDocument,
  id: string,
  library: LibraryVersion | undefined,
): NotebookDocument {
  return changeCell(document, id, ({ library: _, ...cell }) => (library ? { ...cell, library } : cell));
}

/** Whether the settings of a cell are still those of a version. */
export function isAsKept(cell: NotebookCell, version: ItemVersion): boolean {
  return sameValue(cell.parameters, version.parameters);
}

function changeCell(
  document: NotebookDocument,
  id: string,
  change: (cell: NotebookCell) => NotebookCell,
): NotebookDocument {
  return produce(document, (draft) => {
    const cells = draft.cells as NotebookCell[];
    const index = document.cells.findIndex((cell) => cell.id === id);
    if (index >= 0) cells[index] = change(document.cells[index]);
  });
}
