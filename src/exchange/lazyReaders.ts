import type { ReadingAnswers } from "../tables/doubt.ts";
import { readColoursTask } from "./longTasks.ts";

// The readers, with their parsers, are loaded when something is to be read.

/** Colours of a file in any form: beside the page, and in place. */
export const colourReader = {
  task: readColoursTask,
  inPlace: async (name: string, text: string, answers?: ReadingAnswers) =>
    (await import("./readColourFile.ts")).readColourFile(name, text, undefined, answers),
};

/** Lab or LCh as a person types it. */
export const typedLab = async (text: string) => {
  const [{ readLabText }, { LChAsLab }] = await Promise.all([import("./readLab.ts"), import("./readLCh.ts")]);
  return readLabText(LChAsLab(text), "typed text");
};
