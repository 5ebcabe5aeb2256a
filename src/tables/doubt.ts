import { SpectrumFileError } from "./spectrumFileError.ts";

/** Scale of reflectances: fractions 0 to 1, per cent, or each sample as its own numbers say. */
export type StatedScale = "fraction" | "percent" | "each";
/** Scale of tristimulus values: Y of the perfect diffuser. */
type StatedWhite = "1" | "100";

/** What a person has answered to the doubts of a file. */
export interface ReadingAnswers {
  readonly scale?: StatedScale;
  readonly white?: StatedWhite;
  readonly jumps?: "keep";
  readonly beside?: "spectrum";
}

/** What is doubtful in a file. */
export type DoubtName = keyof ReadingAnswers;

/** A question about a file, with its possible answers, and the options that give them where the command line reads such files. */
interface Doubt {
  readonly question: string;
  readonly answers: readonly { readonly value: string; readonly label: string; readonly option?: string }[];
}

/** All questions that readers ask; an error names its question, so that it survives the way out of a worker. */
export const doubts: Readonly<Record<DoubtName, Doubt>> = {
  scale: {
    question: "Are the reflectances fractions (0 to 1) or per cent?",
    answers: [
      { value: "fraction", label: "Fractions (0 to 1)", option: "--scale fraction" },
      { value: "percent", label: "Per cent", option: "--scale percent" },
      { value: "each", label: "Each sample as it seems", option: "--scale each" },
    ],
  },
  white: {
    question: "Which Y does a perfect white have in these X, Y, Z?",
    answers: [
      { value: "100", label: "Y = 100" },
      { value: "1", label: "Y = 1" },
    ],
  },
  jumps: {
    question: "Is the reading that stands out from its neighbours right?",
    answers: [{ value: "keep", label: "It is right: keep it", option: "--jumps keep" }],
  },
  beside: {
    question: "The stated L*, a*, b* are not those of the spectrum. Which counts?",
    answers: [{ value: "spectrum", label: "The spectrum counts" }],
  },
};

const prefix = "DoubtfulFile:";

/** Something in a file can be meant in several ways: a person has to say which. */
export class DoubtfulFileError extends SpectrumFileError {
  /** @param doubt which question it is   @param because what makes it doubtful, without capital and full stop */
  constructor(doubt: DoubtName, file: string, because: string, row?: number, field?: string) {
    const { question, answers } = doubts[doubt];
    const options = answers.flatMap(({ option }) => option ?? []).join(" or ");
    super(
      file,
      because,
      options === "" ? question : `${question} On the command line: ${options}`,
      row,
      field,
    );
    // The name alone comes out of a worker with the message.
    (this as { name: string }).name = prefix + doubt;
  }
}

/** Which question an error asks; undefined for any other error. */
export function doubtOf(error: unknown): DoubtName | undefined {
  const name = error instanceof Error ? error.name : "";
  const doubt = name.startsWith(prefix) ? name.slice(prefix.length) : "";
  return Object.hasOwn(doubts, doubt) ? (doubt as DoubtName) : undefined;
}
