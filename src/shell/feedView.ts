import type { CellView } from "../controls/cellView.ts";
import type { NotebookCell } from "../document/notebook.ts";
import type { CellKind } from "../graph/defineCell.ts";
import { initialParameters } from "../graph/parameters.ts";
import { tellVerdict } from "../graph/tellVerdict.ts";
import type { Verdict } from "../graph/verdict.ts";
import type { NotebookStore } from "./notebookStore.ts";

/** Hands a view what it shows of its cell; what has not changed stays the same object, so that nothing is drawn for it. */
export function feedView(view: CellView, store: NotebookStore, cell: NotebookCell, kind: CellKind): void {
  if (view.cell !== cell) {
    view.cell = cell;
    view.parameters = { ...initialParameters(kind.parameters), ...cell.parameters };
  }
  view.outcome = store.graph.outcome(cell.id);
  view.value = shownValue(store, cell.id);
  const verdict = verdictOf(store, cell, kind);
  if (verdict?.text !== view.verdict?.text || verdict?.swatch !== view.verdict?.swatch)
    view.verdict = verdict;
  const linked = store.linkedValues(cell);
  if (!sameValues(view.linked, linked)) view.linked = linked;
  view.units = store.units;
  view.acting = store.actions.get(cell.id)?.name;
  const kept = store.keptOf(cell.id);
  if (kept.length !== view.kept.size || kept.some((piece) => !view.kept.has(piece)))
    view.kept = new Set(kept);
}

/** What a cell comes to, by its last good value; undefined where there is none yet, or where it would answer an open question. */
export function verdictOf(
  store: NotebookStore,
  { id, parameters }: NotebookCell,
  kind: CellKind,
): Verdict | undefined {
  const value = shownValue(store, id);
  if (value === undefined || store.isCovered(id)) return undefined;
  try {
    return tellVerdict(kind, value, parameters, store.units);
  } catch {
    return undefined; // settings that do not fit the last good value: the cell itself says what is wrong
  }
}

/** A cell that is to begin again has no result, as after a reload; one in error keeps its last, dimmed. */
function shownValue({ graph }: NotebookStore, id: string): unknown {
  const outcome = graph.outcome(id);
  return outcome.status === "error" && outcome.toGive ? undefined : graph.lastValue(id);
}

function sameValues(a: Record<string, unknown>, b: Record<string, unknown>): boolean {
  const keys = Object.keys(b);
  return (
    keys.length === Object.keys(a).length &&
    keys.every((key) => {
      const [x, y] = [a[key], b[key]];
      if (Array.isArray(x) && Array.isArray(y))
        return x.length === y.length && x.every((item, i) => item === y[i]);
      return x === y;
    })
  );
}
