import { notebookInPage } from "../document/savedPage.ts";
import { readText, type Surroundings } from "./surroundings.ts";

/**
 * Reads the text of a notebook: of its own file, or of a page that was saved from it.
 *
 * @throws InputError that names the file
 */
export async function readNotebook(surroundings: Surroundings, path: string): Promise<string> {
  const text = await readText(surroundings, path);
  return notebookInPage(text) ?? text;
}
