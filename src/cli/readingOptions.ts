import type { ReadingAnswers } from "../tables/doubt.ts";
import { choiceOption } from "./options.ts";

/** Options that answer what files of readings leave in doubt. */
export const readingOptions = { scale: { type: "string" }, jumps: { type: "string" } } as const;

export const readingHelp = `  --scale NAME         reflectances are fraction, percent, or each sample as it seems (each): asked for where the
                       files leave it in doubt
  --jumps keep         readings that stand out from their neighbours are right`;

/** The answers given by options. @throws InputError for other words */
export function readAnswers({ scale, jumps }: { scale?: string; jumps?: string }): ReadingAnswers {
  return {
    ...(scale === undefined
      ? {}
      : { scale: choiceOption("--scale", scale, ["fraction", "percent", "each"] as const) }),
    ...(jumps === undefined ? {} : { jumps: choiceOption("--jumps", jumps, ["keep"] as const) }),
  };
}
