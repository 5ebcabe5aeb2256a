import { type NotebookDocument, parseNotebook } from "../document/notebook.ts";

const files = {
  /** Every cell from a colour to the job done and kept; the target waits for its colour. */
  job: () => import("../../data/starters/job.json?raw"),
  /** A calibration with the known components it needs. */
  calibration: () => import("../../data/starters/calibration.json?raw"),
} as const;

/** A notebook to begin with, linked, in which only what a person has measured is missing. */
export async function starter(name: keyof typeof files): Promise<NotebookDocument> {
  return parseNotebook((await files[name]()).default);
}
