/**
 * Drawdowns of a new paste as one CSV file: one row for each reading.
 *
 *   # paste: Quinacridone rose          lines that start with # are comments; those of the form "# key: value" with the
 *   # paste density: 1.09               keys paste, paste density (g/mL), paste volume solids (0…1) and colour index
 *   # paste volume solids: 0.30         are read, all others are passed over
 *   label,ground,specular,basis,amount of paste,amount of pw6,amount of binder,dry_um,380,390,…,730
 *   bare,black,included,,,,,,0.046,0.046,…
 *   bare,white,included,,,,,,0.790,0.822,…
 *   masstone,black,included,volume,12,0,88,31,0.052,…
 *   masstone,white,included,volume,12,0,88,31,0.061,…
 *   let-down 1:10,black,included,volume,1,10,89,,0.213,…
 *
 * DrawdownColumns, in any order, before the wavelengths:
 * - label (required): name of the film. Rows with one label are one film, drawn down in one pull: they must agree in
 *   amounts and thickness. The label "bare" is the uncoated card. Rows with the same label and ground are repeats and are
 *   averaged.
 * - ground: what lies under the film, in any words: black, white… ("ground" when there is no such column).
 * - specular: included or excluded (included when left out, with a note).
 * - basis: volume, mass (both wet) or dry volume (volume when left out, with a note).
 * - amount of paste, amount of NAME…: what was poured together, in one unit for each row; NAME is the id or name of a
 *   known component. Without such columns every film is the paste alone.
 * - thickness, at most one filled in each row: dry_um (dry film), wet_um (wet film), gap_um (gap of the applicator), or
 *   amount (laid amount in any unit, proportional to thickness; amount 0 is the bare card). Empty = not known; the word
 *   opaque = the film hides the card.
 * - error_percent: 1σ of the thickness; left out = the usual one for the way it was measured.
 * - wavelengths, nm, rising, reaching at least from 400 to 700. Cells may stay empty where a row has no reading.
 * - L*, a*, b* in place of the wavelengths where only colours are known (read by `readDrawdownColours`); beside
 *   wavelengths they are passed over.
 *
 * Readings are fractions or per cent, as readingScale.ts finds or asks. Separators and decimal commas as in other files.
 */

import type { ReadingAnswers } from "./doubt.ts";
import { type DrawdownFilm, type DrawdownGround, gatherFilms, meanCurves } from "./drawdownFilms.ts";
import type { DrawdownSettings } from "./drawdownHeader.ts";
import { readDrawdownRows } from "./drawdownRows.ts";
import { SpectrumFileError } from "./spectrumFileError.ts";

export type { DrawdownCurve, DrawdownFilm } from "./drawdownFilms.ts";
export { type DrawdownSettings, drawdownFileLimits } from "./drawdownHeader.ts";

/** A file of drawdowns: films and bare grounds on the working grid. */
export interface DrawdownFile {
  readonly file: string;
  readonly settings: DrawdownSettings;
  /** ids or names of the known components, in the order of the amounts after the paste */
  readonly components: readonly string[];
  readonly films: readonly DrawdownFilm[];
  readonly bare: readonly DrawdownGround[];
  /** what was assumed, in words */
  readonly notes: readonly string[];
}

/**
 * Reads a file of drawdowns.
 *
 * @param text text of the file   @param fileName name of the file, for messages
 * @throws SpectrumFileError that names file, row and field, and a way out
 */
export function readDrawdownFile(text: string, fileName: string, answers: ReadingAnswers = {}): DrawdownFile {
  const { settings, columns, rows, notes } = readDrawdownRows(text, fileName, answers);
  if (columns.wavelengths.length === 0) {
    throw new SpectrumFileError(
      fileName,
      "there are colours (L*, a*, b*) but no wavelengths",
      "Put one column for each wavelength, with its nm as heading; colours alone give a coarse calibration, in a calibration cell",
    );
  }
  if (columns.Lab) notes.push("L*, a*, b* were passed over: the spectra say more");
  const { films, bare } = gatherFilms(rows, fileName, notes, (group) => meanCurves(group, fileName, notes));
  const components = columns.amounts.slice(1).map(({ name }) => name);
  return { file: fileName, settings, components, films, bare, notes: [...new Set(notes)] };
}
