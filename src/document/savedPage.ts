/** Ids of the two blocks of data in a page that was saved from a notebook. */
export const savedPageIds = { notebook: "bole-notebook", handout: "bole-handout" } as const;

/** The beginning of a block of data: nothing that runs, and nothing that any text of a notebook can spell within it. */
export const blockBegins = (id: string) => `<script type="application/json" id="${id}">`;
const blockEnds = "</script>";

/**
 * The notebook that a saved page carries, as the text that was saved; the rest of the page is passed over.
 * @returns undefined for a text that is no such page. What it gives is as untrusted as any file.
 */
export function notebookInPage(page: string): string | undefined {
  if (!/^\s*<!doctype html>/i.test(page.slice(0, 200))) return undefined;
  const begins = blockBegins(savedPageIds.notebook);
  const at = page.indexOf(begins);
  if (at < 0) return undefined;
  const end = page.indexOf(blockEnds, at);
  return end < 0 ? undefined : page.slice(at + begins.length, end);
}
