import type { KeptPiece, NotebookDocument, NotebookView } from "./notebook.ts";
import { sameValue } from "./sameValue.ts";

const plainView: NotebookView = { folded: [], sight: [] };

/** How a notebook is looked at. */
export function viewOf({ view }: NotebookDocument): NotebookView {
  return view ?? plainView;
}

/** The same notebook, looked at in another way. The cells keep their identity; a plain view leaves no trace. */
export function withView(document: NotebookDocument, view: NotebookView): NotebookDocument {
  const { view: _, ...rest } = document;
  if (sameValue(view, plainView)) return rest;
  return { ...rest, view };
}

/** Whether two states differ in nothing but how they are looked at. */
export function sameWork(a: NotebookDocument, b: NotebookDocument): boolean {
  return a === b || sameValue({ ...a, view: undefined }, { ...b, view: undefined });
}

/** Fold some cells, or unfold them. */
export function fold(document: NotebookDocument, ids: readonly string[], folded: boolean): NotebookDocument {
  const view = viewOf(document);
  if (ids.every((id) => view.folded.includes(id) === folded)) return document;
  const others = view.folded.filter((id) => !ids.includes(id));
  return withView(document, { ...view, folded: folded ? [...others, ...ids] : others });
}

/** Keep a piece in sight, or let it go; what belonged to cells that are gone is let go with it. */
export function toggleSight(document: NotebookDocument, { cell, piece }: KeptPiece): NotebookDocument {
  const view = viewOf(document);
  const others = view.sight.filter((kept) => kept.cell !== cell || kept.piece !== piece);
  const wanted = others.length < view.sight.length ? others : [...view.sight, { cell, piece }];
  const sight = wanted.filter((kept) => document.cells.some(({ id }) => id === kept.cell));
  return withView(document, { ...view, sight });
}

const viewBegins = '\n "view": {';

/** Whether two saved texts differ at most in how the notebook is looked at, which comes last in what this program writes. */
export function sameWorkText(a: string, b: string): boolean {
  const work = workText(a);
  return a === b || (work !== undefined && work === workText(b));
}

/** Undefined where the text is not whole, or not as this program writes it. */
function workText(text: string): string | undefined {
  const end = "\n}\n";
  if (!text.endsWith(end)) return undefined;
  // No text within JSON holds a line end, so that this can only be the part of the notebook itself.
  const at = text.lastIndexOf(viewBegins);
  return at < 0 ? text.slice(0, -end.length) : text.slice(0, at).replace(/,$/, "");
}
