import type { NotebookEntry } from "../document/served.ts";

/** How a list of notebooks is ordered. */
export type NotebookOrder = "changed" | "title";

/** The notebooks whose title or file name holds what is sought, in order. */
export function orderedNotebooks(
  entries: readonly NotebookEntry[],
  sought: string,
  order: NotebookOrder,
): NotebookEntry[] {
  const wanted = sought.trim().toLowerCase();
  const byTitle = (a: NotebookEntry, b: NotebookEntry) =>
    a.title.localeCompare(b.title, undefined, { numeric: true, sensitivity: "base" }) ||
    b.modified.localeCompare(a.modified);
  return entries
    .filter(({ title, name }) => [title, name].some((text) => text.toLowerCase().includes(wanted)))
    .sort(order === "title" ? byTitle : (a, b) => b.modified.localeCompare(a.modified) || byTitle(a, b));
}

/** The titles that more than one notebook has: there the file name tells them apart. */
export function sharedTitles(entries: readonly NotebookEntry[]): Set<string> {
  const seen = new Set<string>();
  return new Set(entries.map(({ title }) => title).filter((title) => seen.size === seen.add(title).size));
}
