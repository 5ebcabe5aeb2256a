import { parseNotebook } from "../document/notebook.ts";

/**
 * Checks that a text is a notebook of this program.
 *
 * @throws Error that names the field at fault
 */
export function validateNotebook(text: string): void {
  parseNotebook(text);
}
