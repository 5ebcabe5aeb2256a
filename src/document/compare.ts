import { plural } from "../words/plural.ts";
import type { NotebookCell, NotebookDocument } from "./notebook.ts";
import { sameValue } from "./sameValue.ts";

/** A part of a cell that differs. */
export interface FieldDifference {
  readonly part: "title" | "kind" | "parameter" | "input" | "library";
  /** Name of the parameter or input. */
  readonly name: string;
  readonly before: unknown;
  readonly after: unknown;
}

export interface CellDifference {
  readonly id: string;
  /** Title after the change, or the last one of a removed cell. */
  readonly title: string;
  readonly change: "added" | "removed" | "changed" | "moved";
  /** For a changed cell: what differs. */
  readonly fields: readonly FieldDifference[];
}

/** What differs between two states of a notebook. */
export interface NotebookDifference {
  readonly title: { readonly before: string; readonly after: string } | undefined;
  /** In the order of the later state, removed cells last. */
  readonly cells: readonly CellDifference[];
}

/** Which cells differ between two states of a notebook, and in what. */
export function compareNotebooks(before: NotebookDocument, after: NotebookDocument): NotebookDifference {
  const cells: CellDifference[] = [];
  const earlier = new Map(before.cells.map((cell) => [cell.id, cell]));
  const moved = movedIds(before, after);
  for (const cell of after.cells) {
    const old = earlier.get(cell.id);
    earlier.delete(cell.id);
    const { id, title } = cell;
    if (!old) cells.push({ id, title, change: "added", fields: [] });
    else if (!sameValue(old, cell))
      cells.push({ id, title, change: "changed", fields: compareCells(old, cell) });
    else if (moved.has(id)) cells.push({ id, title, change: "moved", fields: [] });
  }
  for (const { id, title } of earlier.values()) cells.push({ id, title, change: "removed", fields: [] });
  return {
    title: before.title === after.title ? undefined : { before: before.title, after: after.title },
    cells,
  };
}

/** What differs between two states of a cell. */
export function compareCells(before: NotebookCell, after: NotebookCell): FieldDifference[] {
  if (before === after) return [];
  const fields: FieldDifference[] = [];
  for (const part of ["title", "kind", "library"] as const) {
    const [old, now] = [before[part as "title"], after[part as "title"]];
    if (!sameValue(old, now)) fields.push({ part, name: part, before: old, after: now });
  }
  for (const [part, from, to] of [
    ["parameter", before.parameters, after.parameters],
    ["input", before.inputs, after.inputs],
  ] as const) {
    for (const name of new Set([...Object.keys(from), ...Object.keys(to)])) {
      const [old, now] = [ownValue(from, name), ownValue(to, name)];
      if (!sameValue(old, now)) fields.push({ part, name, before: old, after: now });
    }
  }
  return fields;
}

function ownValue(record: Readonly<Record<string, unknown>>, name: string): unknown {
  return Object.hasOwn(record, name) ? record[name] : undefined;
}

/** The fewest cells whose moving explains the new order: all but a longest row of cells that kept their order. */
function movedIds(before: NotebookDocument, after: NotebookDocument): Set<string> {
  const place = new Map(before.cells.map((cell, index) => [cell.id, index]));
  const ids = after.cells.map((cell) => cell.id).filter((id) => place.has(id));
  const places = ids.map((id) => place.get(id)!);
  // Longest increasing subsequence by patience sorting: `ends[k]` is the row of k + 1 cells with the earliest end.
  const ends: number[] = [];
  const previous: number[] = [];
  for (let at = 0; at < places.length; at++) {
    let low = 0;
    let high = ends.length;
    for (let left = ends.length; left > 0 && low < high; left--) {
      const middle = (low + high) >> 1;
      if (places[ends[middle]] < places[at]) low = middle + 1;
      else high = middle;
    }
    previous[at] = low > 0 ? ends[low - 1] : -1;
    ends[low] = at;
  }
  const stayed = new Set<string>();
  let at = ends.at(-1) ?? -1;
  for (let left = ends.length; left > 0; left--) {
    stayed.add(ids[at]);
    at = previous[at];
  }
  return new Set(ids.filter((id) => !stayed.has(id)));
}

/** A change in a few words, such as: settings of “The red”. Empty when nothing differs. */
export function changeInWords(before: NotebookDocument, after: NotebookDocument): string {
  const { title, cells } = compareNotebooks(before, after);
  if (cells.length === 0) return title ? "title of the notebook" : "";
  const named = (cell: CellDifference) => `“${shortTitle(cell.title || cell.id)}”`;
  const groups = new Map<string, CellDifference[]>();
  for (const cell of cells) {
    const what = cell.change === "changed" ? partsInWords(cell.fields) : `${cell.change}:`;
    groups.set(what, [...(groups.get(what) ?? []), cell]);
  }
  const words = [...groups].map(([what, members]) => {
    const names = members.length > 2 ? plural(members.length, "cell") : members.map(named).join(" and ");
    return `${what} ${names}`;
  });
  return words.length > 2 ? `changes in ${plural(cells.length, "cell")}` : words.join("; ");
}

function partsInWords(fields: readonly FieldDifference[]): string {
  const parts = new Set(fields.map((field) => field.part));
  const words = (
    [
      ["title", "title"],
      ["kind", "kind"],
      ["parameter", "settings"],
      ["input", "links"],
      ["library", "library version"],
    ] as const
  ).filter(([part]) => parts.has(part));
  return `${words.map(([, word]) => word).join(" and ") || "form"} of`;
}

function shortTitle(title: string): string {
  return title.length > 40 ? `${title.slice(0, 39)}…` : title;
}
