import type { ReadingAnswers } from "../tables/doubt.ts";
import { choiceOption } from "./options.ts";

/** Options that answer what files of readings leave in doubt. */
export const readingOptions = {
  scale: { type: "string" },
  jumps: { type: "string" },
  decimal: { type: "string" },
} as const;
/** The same with the question that only drawdowns raise. */
export const drawdownOptions = { ...readingOptions, basis: { type: "string" } } as const;

export const readingHelp = `  --scale NAME         reflectances are fraction, percent, or each sample as it seems (each): asked for where the
                       files leave it in doubt
  --jumps keep         readings that stand out from their neighbours are right
  --decimal NAME       the comma in numbers such as 1,234 stands before the decimals (comma) or between thousands (point)`;
export const basisHelp = `  --basis NAME         amounts were weighed (mass), measured by volume (volume), or are shares of the dry film (dry),
                       where the file does not say`;

/** The answers given by options. @throws InputError for other words */
export function readAnswers({
  scale,
  jumps,
  decimal,
  basis,
}: {
  scale?: string;
  jumps?: string;
  decimal?: string;
  basis?: string;
}): ReadingAnswers {
  const measured = basis && choiceOption("--basis", basis, ["mass", "volume", "dry"] as const);
  return {
    ...(scale === undefined
      ? {}
      : { scale: choiceOption("--scale", scale, ["fraction", "percent", "each"] as const) }),
    ...(jumps === undefined ? {} : { jumps: choiceOption("--jumps", jumps, ["keep"] as const) }),
    ...(decimal === undefined
      ? {}
      : { decimal: choiceOption("--decimal", decimal, ["comma", "point"] as const) }),
    ...(measured ? { basis: measured === "dry" ? "dry volume" : measured } : {}),
  };
}
