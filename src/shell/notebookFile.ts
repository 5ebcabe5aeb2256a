import { type NotebookDocument, serialiseNotebook } from "../document/notebook.ts";

/** Hand a notebook to the browser as a file to keep. */
export function saveAsFile(notebook: NotebookDocument, name: string): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([serialiseNotebook(notebook)], { type: "application/json" }));
  link.download = `${name || "notebook"}.bole.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
