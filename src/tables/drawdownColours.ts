import type { ReadingAnswers } from "./doubt.ts";
import { type DrawdownFilm, gatherFilms } from "./drawdownFilms.ts";
import type { DrawdownSettings } from "./drawdownHeader.ts";
import { readDrawdownRows } from "./drawdownRows.ts";
import { SpectrumFileError } from "./spectrumFileError.ts";

/** A colour read on a drawdown or on the bare card, in CIELAB. */
interface DrawdownColour {
  readonly ground: string;
  readonly specular: "included" | "excluded";
  readonly Lab: readonly [number, number, number];
}

/** Drawdowns of which only colours are known. */
export interface DrawdownColours {
  readonly file: string;
  readonly settings: DrawdownSettings;
  /** ids or names of the known components, in the order of the amounts after the paste */
  readonly components: readonly string[];
  readonly films: readonly DrawdownFilm<DrawdownColour>[];
  readonly bare: readonly DrawdownColour[];
  /** what was assumed, in words */
  readonly notes: readonly string[];
}

/** Whether a file of drawdowns holds colours and no spectra. @throws SpectrumFileError for a file that cannot be read */
export function holdsColoursOnly(text: string, fileName: string, answers: ReadingAnswers = {}): boolean {
  return readDrawdownRows(text, fileName, answers).columns.wavelengths.length === 0;
}

/**
 * Reads drawdowns of which only colours are known: the layout of drawdownFile.ts with the columns L*, a*, b* in place of
 * the wavelengths. Repeats stay as they are.
 *
 * @throws SpectrumFileError that names file, row and field, and a way out
 */
export function readDrawdownColours(text: string, fileName: string): DrawdownColours {
  const { settings, columns, rows, notes } = readDrawdownRows(text, fileName);
  if (!columns.Lab) {
    throw new SpectrumFileError(fileName, "there are no columns L*, a* and b*", "Add them");
  }
  const { films, bare } = gatherFilms(rows, fileName, notes, (group): DrawdownColour[] =>
    group.map(({ ground, specular, Lab }) => ({ ground, specular, Lab: Lab! })),
  );
  const components = columns.amounts.slice(1).map(({ name }) => name);
  return { file: fileName, settings, components, films, bare, notes: [...new Set(notes)] };
}
