import { freeCellId } from "../graph/cellId.ts";
import type { NotebookCell, NotebookDocument, NotebookView } from "./notebook.ts";
import { sameValue } from "./sameValue.ts";
import { viewOf, withView } from "./view.ts";

/** What to do with a cell that both sides changed. */
export type CellChoice = "ours" | "theirs" | "both";

/** A cell that both sides changed, each in its own way; undefined where a side has removed it. */
export interface CellConflict {
  readonly id: string;
  readonly title: string;
  readonly base: NotebookCell | undefined;
  readonly ours: NotebookCell | undefined;
  readonly theirs: NotebookCell | undefined;
  /** What the merge did: the wish, or by default ours, and a changed cell rather than a removed one. */
  readonly chosen: CellChoice;
}

export interface MergeChoices {
  readonly title?: "ours" | "theirs";
  readonly cells?: ReadonlyMap<string, CellChoice>;
}

/**
 * Earlier states of the sides, since the base. A side that still shows a cell as the other once had it has not changed
 * that cell: so looks a file when the answer to a save was lost.
 */
interface Pasts {
  readonly ours?: readonly NotebookDocument[];
  readonly theirs?: readonly NotebookDocument[];
}

export interface Merge {
  readonly document: NotebookDocument;
  readonly conflicts: readonly CellConflict[];
  readonly titleConflict: { readonly ours: string; readonly theirs: string } | undefined;
  /** Ids of cells that were added, changed or removed by the other side alone. */
  readonly fromTheirs: readonly string[];
}

/**
 * Bring two states of a notebook together, cell by cell, over the state that both came from.
 *
 * A cell that only one side touched is as that side left it. A cell that both touched differently is a conflict: it is
 * listed, and by default stays as ours; one that was removed here and changed there stays, changed. Two cells that were
 * added under one id are two cells: ours gets another id, and the links that we made to it follow.
 */
export function mergeNotebooks(
  base: NotebookDocument,
  given: NotebookDocument,
  theirs: NotebookDocument,
  choices: MergeChoices = {},
  pasts: Pasts = {},
): Merge {
  const ours = withOwnIds(base, given, theirs);
  const [inBase, inOurs, inTheirs] = [base, ours, theirs].map(byId);
  const conflicts: CellConflict[] = [];
  const fromTheirs: string[] = [];
  const merged = new Map<string, NotebookCell>();
  const copies = new Map<string, NotebookCell>();
  for (const id of new Set([...inOurs.keys(), ...inTheirs.keys(), ...inBase.keys()])) {
    const cells = { base: inBase.get(id), ours: inOurs.get(id), theirs: inTheirs.get(id) };
    let taken: NotebookCell | undefined;
    if (sameValue(cells.ours, cells.theirs)) taken = cells.ours;
    else if (sameValue(cells.base, cells.theirs) || wasOnce(cells.theirs, pasts.ours)) taken = cells.ours;
    else if (sameValue(cells.base, cells.ours) || wasOnce(cells.ours, pasts.theirs)) {
      taken = cells.theirs;
      fromTheirs.push(id);
    } else {
      const chosen = settle(choices.cells?.get(id), cells.ours, cells.theirs);
      const title = (cells.ours ?? cells.theirs)!.title;
      conflicts.push({ id, title, ...cells, chosen });
      taken = chosen === "theirs" ? cells.theirs : cells.ours;
      if (chosen === "both" && cells.theirs) copies.set(id, cells.theirs);
    }
    if (taken) merged.set(id, taken);
  }
  const order = mergeOrder(base, ours, theirs, merged);
  const used = new Set([...merged.keys(), ...inBase.keys(), ...inOurs.keys(), ...inTheirs.keys()]);
  const cells = order.flatMap((id) => {
    const cell = merged.get(id)!;
    const other = copies.get(id);
    if (!other) return [cell];
    const copyId = freeCellId(id, used);
    used.add(copyId);
    return [cell, { ...other, id: copyId, title: `${other.title.slice(0, 180)} (other version)` }];
  });
  const titles = mergeTitles(base.title, ours.title, theirs.title, choices.title);
  return {
    document: withView({ ...ours, title: titles.title, cells }, mergeViews(base, ours, theirs)),
    conflicts,
    titleConflict: titles.conflict,
    fromTheirs,
  };
}

function wasOnce(cell: NotebookCell | undefined, past: readonly NotebookDocument[] = []): boolean {
  return (
    cell !== undefined &&
    past.some(({ cells }) => cells.some((old) => old.id === cell.id && sameValue(old, cell)))
  );
}

/** A wish that names a side without the cell means its removal; "both" with one side missing means the one there is. */
function settle(
  wish: CellChoice | undefined,
  ours: NotebookCell | undefined,
  theirs: NotebookCell | undefined,
): CellChoice {
  if (ours && theirs) return wish ?? "ours";
  if (wish === "ours" || wish === "theirs") return wish;
  return ours ? "ours" : "theirs";
}

function mergeTitles(base: string, ours: string, theirs: string, wish: "ours" | "theirs" | undefined) {
  if (ours === theirs || theirs === base) return { title: ours, conflict: undefined };
  if (ours === base) return { title: theirs, conflict: undefined };
  return { title: wish === "theirs" ? theirs : ours, conflict: { ours, theirs } };
}

/** How it is looked at is nobody's work: ours where we have changed it, else theirs. */
function mergeViews(base: NotebookDocument, ours: NotebookDocument, theirs: NotebookDocument): NotebookView {
  return viewOf(sameValue(viewOf(ours), viewOf(base)) ? theirs : ours);
}

function byId(document: NotebookDocument): Map<string, NotebookCell> {
  return new Map(document.cells.map((cell) => [cell.id, cell]));
}

/** Gives our new cells ids of their own where the other side has used the same id for another new cell. */
function withOwnIds(
  base: NotebookDocument,
  ours: NotebookDocument,
  theirs: NotebookDocument,
): NotebookDocument {
  const [inBase, inTheirs] = [byId(base), byId(theirs)];
  const clashing = ours.cells.filter((cell) => {
    const other = inTheirs.get(cell.id);
    return other && !inBase.has(cell.id) && !sameValue(cell, other);
  });
  if (clashing.length === 0) return ours;
  const used = new Set([base, ours, theirs].flatMap((document) => document.cells.map((cell) => cell.id)));
  const renamed = new Map<string, string>();
  for (const { id } of clashing) {
    const fresh = freeCellId(id, used);
    used.add(fresh);
    renamed.set(id, fresh);
  }
  const follow = (id: string) => renamed.get(id) ?? id;
  const cells = ours.cells.map((cell) => {
    const isNew = renamed.has(cell.id);
    if (!isNew && sameValue(cell, inBase.get(cell.id))) return cell; // its links were not made by us
    const inputs = Object.fromEntries(
      Object.entries(cell.inputs).map(([name, ids]) => [
        name,
        typeof ids === "string" ? follow(ids) : ids.map(follow),
      ]),
    );
    const relinked = sameValue(inputs, cell.inputs) ? cell : { ...cell, inputs };
    return isNew ? { ...relinked, id: follow(cell.id) } : relinked;
  });
  return { ...ours, cells };
}

/**
 * The order of the side that moved cells (ours when both did); cells that only the other side has go behind the cell
 * they follow there.
 */
function mergeOrder(
  base: NotebookDocument,
  ours: NotebookDocument,
  theirs: NotebookDocument,
  present: ReadonlyMap<string, unknown>,
): string[] {
  const theirsLeads = !hasMoved(base, ours) && hasMoved(base, theirs);
  const [lead, other] = theirsLeads ? [theirs, ours] : [ours, theirs];
  const order = lead.cells.map((cell) => cell.id).filter((id) => present.has(id));
  const placed = new Set(order);
  let behind: string | undefined;
  for (const { id } of other.cells) {
    if (present.has(id) && !placed.has(id)) {
      order.splice(behind === undefined ? 0 : order.indexOf(behind) + 1, 0, id);
      placed.add(id);
    }
    if (placed.has(id)) behind = id;
  }
  return order;
}

/** Whether the cells that both have stand in another order. */
function hasMoved(base: NotebookDocument, side: NotebookDocument): boolean {
  const [inBase, inSide] = [byId(base), byId(side)];
  const before = base.cells.filter((cell) => inSide.has(cell.id));
  const after = side.cells.filter((cell) => inBase.has(cell.id));
  return before.some((cell, index) => cell.id !== after[index].id);
}
