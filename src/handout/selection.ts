import type { NotebookCell, NotebookDocument } from "../document/notebook.ts";
import { linkedIds } from "../graph/graphCell.ts";
import type { HandoutChoice } from "./choice.ts";
import { cutLinks } from "./withoutCosts.ts";

/** What of a notebook goes into a page. */
export interface Selection {
  /** The notebook of the file: what is not in it is nowhere in the page. */
  readonly document: NotebookDocument;
  /** Shown cells that stay as they are: something they take from was left out. */
  readonly frozen: readonly string[];
}

/**
 * The cells that are shown, and those that these need to go on computing.
 * @param cannotRun whether cells of a kind cannot be computed in a page: they stay as they are
 */
export function select(
  document: NotebookDocument,
  choice: Pick<HandoutChoice, "shown" | "leftOut">,
  cannotRun: (kind: string) => boolean = () => false,
): Selection {
  const { cells } = document;
  const byId = new Map(cells.map((cell) => [cell.id, cell]));
  const shown = new Set(choice.shown.filter((id) => !choice.leftOut.includes(id)));
  const still = stillCells(cells, new Set(choice.leftOut), cannotRun);
  const needed = new Set([...shown].filter((id) => byId.has(id)));
  // A set goes on to what is added while it is gone through.
  for (const id of needed) {
    if (still.has(id)) continue;
    for (const giver of linkedIds(byId.get(id)!)) if (byId.has(giver)) needed.add(giver);
  }
  const included = cells.filter(({ id }) => needed.has(id));
  const gone = new Set(included.flatMap(linkedIds).filter((id) => !needed.has(id)));
  const { view } = document;
  const seen = view && {
    folded: view.folded.filter((id) => needed.has(id)),
    sight: view.sight.filter(({ cell }) => shown.has(cell) && needed.has(cell) && !still.has(cell)),
  };
  const kept = { ...document, cells: included.map((cell) => cutLinks(cell, gone)) };
  return {
    document: seen ? { ...kept, view: seen } : kept,
    frozen: included.filter(({ id }) => still.has(id)).map(({ id }) => id),
  };
}

/** Cells that cannot be computed in the page: left out themselves, or taking from such a cell, however far up. */
function stillCells(
  cells: readonly NotebookCell[],
  leftOut: ReadonlySet<string>,
  cannotRun: (kind: string) => boolean,
): Set<string> {
  const present = new Set(cells.map(({ id }) => id));
  const still = new Set(
    cells.filter(({ id, kind }) => leftOut.has(id) || cannotRun(kind)).map(({ id }) => id),
  );
  for (let before = -1; before < still.size; ) {
    before = still.size;
    for (const cell of cells)
      if (linkedIds(cell).some((id) => still.has(id) && present.has(id))) still.add(cell.id);
  }
  return still;
}
