import { checkGuardedNotebook, parseNotebook } from "../document/notebook.ts";

/**
 * Checks that a text is a notebook of this program.
 *
 * @param value what the text says, where it has been read already by `parseGuardedJson` with `notebookNesting`
 * @throws Error that names the field at fault
 */
export function validateNotebook(text: string, value?: unknown): void {
  if (value === undefined) parseNotebook(text);
  else checkGuardedNotebook(value);
}
