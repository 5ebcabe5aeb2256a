import type { ReadingAnswers } from "../tables/doubt.ts";
import { holdsColoursOnly, readDrawdownColours } from "../tables/drawdownColours.ts";
import { type DrawdownSettings, readDrawdownFile } from "../tables/drawdownFile.ts";
import { namesFilms } from "../tables/drawdownRows.ts";
import { type FoundTable, tableToShow } from "../tables/tidyTable.ts";
import { writeDrawdownFile } from "../tables/writeDrawdownFile.ts";
import { type AnyReading, type KeptTable, keptColours, keptDrawdowns } from "./keptTable.ts";

/** A file of drawdowns in the form kept, spectra or colours as it holds them. @throws SpectrumFileError */
export function readTable(text: string, name: string, answers: ReadingAnswers = {}) {
  if (holdsColoursOnly(text, name, answers)) {
    const file = readDrawdownColours(text, name, answers);
    return { settings: file.settings, kept: { source: "colours" as const, colours: keptColours(file) } };
  }
  const file = readDrawdownFile(text, name, answers);
  return { settings: file.settings, kept: { source: "spectra" as const, drawdowns: keptDrawdowns(file) } };
}

/** A file of drawdowns as it was read. */
export type ReadTable = ReturnType<typeof readTable>;

/** What is taken for what in such a file, to be shown; undefined where nothing of a table is found. */
export function tableIn(file: Parameters<typeof tableToShow>[0]): FoundTable | undefined {
  return tableToShow(file, { isHead: namesFilms, sparse: true });
}

/** The same with the name of the file first, as controls read files. @throws SpectrumFileError */
export const readNamedTable = (name: string, text: string, answers?: ReadingAnswers) =>
  readTable(text, name, answers);

/** A kept table as CSV, with a word on the films that are left out. @throws RangeError for what CSV has no place for */
function writeTable(table: KeptTable<AnyReading>, settings: DrawdownSettings): string {
  const out = table.films.filter(({ use }) => !use).map(({ label }) => label);
  return writeDrawdownFile({ settings, ...table }, [
    "drawdowns of a paste, as kept in a notebook",
    ...(out.length > 0 ? [`left out of the calibration: ${out.join(", ")}`] : []),
  ]);
}

/** The same with its name, as it is saved beside what is said of the paste. @throws RangeError as above */
export function savedTable(
  table: KeptTable<AnyReading>,
  said: { name: string; density: number; volumeSolids: number; colourIndex: string },
): { name: string; text: string } {
  const { name: paste, density, volumeSolids, colourIndex } = said;
  const settings = {
    paste: paste || undefined,
    density,
    volumeSolids: volumeSolids / 100,
    colourIndex: colourIndex || undefined,
  };
  const name = table.file.endsWith(".csv") ? table.file : "drawdowns.csv";
  return { name, text: writeTable(table, settings) };
}
