import type { NotebookStore } from "./notebookStore.ts";

/** How a cell is linked with another one that is pointed at: it gives to that one, it takes from it, or neither. */
export function relationOf(store: NotebookStore, pointed: string, id: string): "gives" | "takes" | "" {
  if (!pointed || pointed === id) return "";
  const inputsOf = (of: string) => Object.values(store.cell(of)?.inputs ?? {}).flat();
  if (inputsOf(pointed).includes(id)) return "gives";
  return inputsOf(id).includes(pointed) ? "takes" : "";
}
