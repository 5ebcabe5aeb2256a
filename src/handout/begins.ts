import type { NotebookDocument } from "../document/notebook.ts";
import type { Moves } from "./choice.ts";
import type { Still } from "./still.ts";

/** What a saved page is told beside its notebook. */
export interface Told {
  /** When it was saved, in words. */
  readonly saved: string;
  /** Cells that are seen, in order. */
  readonly shown: readonly string[];
  readonly moves: Readonly<Record<string, Moves>>;
  /** Cells that stay as they were, with the open question that they would answer. */
  readonly frozen: Readonly<
    Record<string, { readonly label: string; readonly still: Still; readonly cover?: string }>
  >;
}

/** What stands there first: the kinds to begin with, and the kind whose view is shown. */
export function beginsWith({ cells }: NotebookDocument, { shown, frozen }: Pick<Told, "shown" | "frozen">) {
  const living = cells.filter(({ id }) => !Object.hasOwn(frozen, id));
  const first = living.find(({ id }) => id === shown[0]);
  // A note above everything else needs no other cell, and no question can cover it.
  const isAlone = first !== undefined && first === living[0] && first.kind === "note";
  return {
    isAlone,
    cells: isAlone ? [first] : living,
    firstKinds: isAlone ? [first.kind] : [...new Set(living.map(({ kind }) => kind))],
    firstView: first?.kind,
  };
}
