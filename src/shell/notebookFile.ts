import { saveText } from "../controls/saveFile.ts";
import { type NotebookDocument, serialiseNotebook } from "../document/notebook.ts";

/** Hand a notebook to the browser as a file to keep. */
export function saveAsFile(notebook: NotebookDocument, name: string): void {
  saveText(`${name || "notebook"}.bole.json`, serialiseNotebook(notebook), "application/json");
}
