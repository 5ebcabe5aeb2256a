import type { ReadingAnswers } from "../tables/doubt.ts";
import { longTask } from "../tasks/longTask.ts";
import type { ColourFile } from "./colourSample.ts";
import type { readSpectra } from "./readSpectra.ts";

/** The text of a file. */
export interface NamedText {
  readonly name: string;
  readonly text: string;
  /** to what the file leaves in doubt */
  readonly answers?: ReadingAnswers;
}

/** Colours of a file in any form. */
export const readColoursTask = longTask<NamedText, ColourFile>("read-colours");
/** Spectra of a file in any form. */
export const readSpectraTask = longTask<NamedText, ReturnType<typeof readSpectra>>("read-spectra");
