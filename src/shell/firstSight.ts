import type { KeptPiece, NotebookDocument } from "../document/notebook.ts";
import { viewOf, withView } from "../document/view.ts";

/**
 * With its first ratio sweep a job has cause and effect: the hand on the ratio, the difference against it, and the curves
 * of the worst part come into sight together, unless a person keeps other things there.
 *
 * @param added id of the cell that was added last
 */
export function withFirstSight(document: NotebookDocument, added: string): NotebookDocument {
  const view = viewOf(document);
  const cell = (id: unknown) => document.cells.find((one) => one.id === id);
  const sweep = cell(added);
  if (sweep?.kind !== "ratio-sweep" || view.sight.length > 0) return document;
  const cover = cell(sweep.inputs.coverage);
  const ground = cell(cover?.inputs.basecoat);
  const sight: KeptPiece[] = [
    ...(ground ? [{ cell: ground.id, piece: "set-ratio" }] : []),
    { cell: added, piece: "curve" },
    ...(cover ? [{ cell: cover.id, piece: "reflectance" }] : []),
  ];
  return withView(document, { ...view, sight });
}
