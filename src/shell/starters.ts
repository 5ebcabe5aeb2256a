import { type NotebookDocument, parseNotebook } from "../document/notebook.ts";

const files = {
  /** Every cell that is needed to find the best ground for a colour that was measured; the target waits for its file. */
  target: () => import("../../data/starters/target.json?raw"),
  /** A calibration with the known components it needs. */
  calibration: () => import("../../data/starters/calibration.json?raw"),
} as const;

/** A notebook to begin with, linked, in which only what a person has measured is missing. */
export async function starter(name: keyof typeof files): Promise<NotebookDocument> {
  return parseNotebook((await files[name]()).default);
}
