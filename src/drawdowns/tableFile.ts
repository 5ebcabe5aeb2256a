import type { ReadingAnswers } from "../tables/doubt.ts";
import { holdsColoursOnly, readDrawdownColours } from "../tables/drawdownColours.ts";
import { type DrawdownSettings, readDrawdownFile } from "../tables/drawdownFile.ts";
import { writeDrawdownFile } from "../tables/writeDrawdownFile.ts";
import { type AnyReading, type KeptTable, keptColours, keptDrawdowns } from "./keptTable.ts";

/** A file of drawdowns in the form kept, spectra or colours as it holds them. @throws SpectrumFileError */
export function readTable(text: string, name: string, answers: ReadingAnswers = {}) {
  if (holdsColoursOnly(text, name, answers)) {
    const file = readDrawdownColours(text, name);
    return { settings: file.settings, kept: { source: "colours" as const, colours: keptColours(file) } };
  }
  const file = readDrawdownFile(text, name, answers);
  return { settings: file.settings, kept: { source: "spectra" as const, drawdowns: keptDrawdowns(file) } };
}

/** The same with the name of the file first, as controls read files. @throws SpectrumFileError */
export const readNamedTable = (name: string, text: string, answers?: ReadingAnswers) =>
  readTable(text, name, answers);

/** A kept table as CSV, with a word on the films that are left out. @throws RangeError for what CSV has no place for */
export function writeTable(table: KeptTable<AnyReading>, settings: DrawdownSettings): string {
  const out = table.films.filter(({ use }) => !use).map(({ label }) => label);
  return writeDrawdownFile({ settings, ...table }, [
    "drawdowns of a paste, as kept in a notebook",
    ...(out.length > 0 ? [`left out of the calibration: ${out.join(", ")}`] : []),
  ]);
}
