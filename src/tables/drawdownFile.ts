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
 *
 * Readings are fractions, or per cent when most are above 1.5. Separators and decimal commas as in other measured files.
 */

import { type DrawdownFilm, type DrawdownGround, gatherFilms } from "./drawdownFilms.ts";
import {
  columnsOf,
  type DrawdownColumns,
  type DrawdownSettings,
  drawdownFileLimits,
  settingsOf,
} from "./drawdownHeader.ts";
import { SpectrumFileError } from "./spectrumFileError.ts";
import { type CellRow, numberOf, readCells } from "./spectrumFileText.ts";

export type { DrawdownCurve, DrawdownFilm, DrawdownGround, FilmThickness } from "./drawdownFilms.ts";
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

/** A row as it stands in the file. */
export interface DrawdownRow {
  row: number;
  label: string;
  bare: boolean;
  ground: string;
  specular: "included" | "excluded";
  basis: "volume" | "mass" | "dry volume";
  /** paste first */
  amounts: number[];
  thickness: { basis: "dry" | "wet" | "gap" | "amount"; value: number } | "unknown" | "opaque";
  errorPercent: number | undefined;
  wavelengths: number[];
  values: number[];
}

const percentAbove = 1.5;

/**
 * Reads a file of drawdowns.
 *
 * @param text text of the file   @param fileName name of the file, for messages
 * @throws SpectrumFileError that names file, row and field, and a way out
 */
export function readDrawdownFile(text: string, fileName: string): DrawdownFile {
  if (text.length > drawdownFileLimits.characters) {
    throw new SpectrumFileError(
      fileName,
      "the file is larger than 10 MB",
      "Split it, or leave out what is not needed",
    );
  }
  const notes: string[] = [];
  const settings = settingsOf(text, fileName);
  const [header, ...body] = readCells(text, fileName, notes);
  const columns = columnsOf(header, fileName);
  if (body.length === 0) {
    throw new SpectrumFileError(
      fileName,
      "there are no rows below the heading",
      "Add a row for each reading",
    );
  }
  if (body.length > drawdownFileLimits.rows) {
    throw new SpectrumFileError(
      fileName,
      `there are more than ${drawdownFileLimits.rows} readings`,
      "Split the file",
    );
  }
  const scale = scaleOf(body, columns, notes);
  const rows = body.map((row) => rowOf(row, columns, scale, fileName, notes));
  const { films, bare } = gatherFilms(rows, fileName, notes);
  const components = columns.amounts.slice(1).map(({ name }) => name);
  return { file: fileName, settings, components, films, bare, notes: [...new Set(notes)] };
}

/** 100 when most of the readings are too large for fractions. */
function scaleOf(body: readonly CellRow[], { wavelengths }: DrawdownColumns, notes: string[]): number {
  const all = body.flatMap(({ cells }) =>
    wavelengths.flatMap(({ column }) => {
      const value = numberOf(cells[column]);
      return value === undefined ? [] : [value];
    }),
  );
  all.sort((a, b) => a - b);
  const middle = all[all.length >> 1];
  if (middle === undefined || middle <= percentAbove) {
    notes.push("readings taken as fractions (0 to 1)");
    return 1;
  }
  notes.push(`readings taken as per cent and divided by 100, because most are above ${percentAbove}`);
  return 100;
}

function rowOf(
  { row, cells }: CellRow,
  columns: DrawdownColumns,
  scale: number,
  fileName: string,
  notes: string[],
): DrawdownRow {
  const { place, header } = columns;
  const fault = (problem: string, wayOut: string, column: number) =>
    new SpectrumFileError(fileName, problem, wayOut, row, header[column]);
  const text = (column: number): string => (column < 0 ? "" : cells[column]);
  const choice = <T extends string>(column: number, allowed: readonly T[], usual: T, what: string): T => {
    const word = text(column).toLowerCase();
    if (word === "") {
      notes.push(`${what} not stated: taken as ${usual}`);
      return usual;
    }
    const found = allowed.find((one) => one === word);
    if (found === undefined)
      throw fault(`"${cells[column]}" is not known`, `Write ${allowed.join(" or ")}`, column);
    return found;
  };
  const number = (column: number, least: number, most: number): number | undefined => {
    if (text(column) === "") return undefined;
    const value = numberOf(cells[column]);
    if (value === undefined)
      throw fault(`"${cells[column]}" is not a number`, "Correct it or leave it empty", column);
    if (value < least || value > most) {
      throw fault(
        `${value} is outside the allowed range ${least} to ${most}`,
        "Correct it or leave it empty",
        column,
      );
    }
    return value;
  };

  const thickness = thicknessOf(columns, cells, number, fault);
  const named = text(place.label).slice(0, 200);
  const nothingLaid = typeof thickness === "object" && thickness.basis === "amount" && thickness.value === 0;
  const bare = named.toLowerCase() === "bare" || nothingLaid;
  if (named === "" && place.label >= 0) throw fault("the label is empty", "Name the film", place.label);
  const amounts = columns.amounts.map(({ column }) => number(column, 0, 1e9) ?? 0);
  if (columns.amounts[0].column < 0) amounts[0] = 1;
  if (!bare && amounts.every((amount) => amount === 0)) {
    throw fault(
      "nothing was poured: all amounts are 0 or empty",
      'Fill in the amounts, or call the row "bare"',
      columns.amounts[0].column,
    );
  }
  const several = columns.amounts.length > 1;
  const allowed = ["volume", "mass", "dry volume"] as const;
  const wavelengths: number[] = [];
  const values: number[] = [];
  const { least, most } = drawdownFileLimits.reading;
  for (const { nm, column } of columns.wavelengths) {
    const value = number(column, least * scale, most * scale);
    if (value === undefined) continue;
    wavelengths.push(nm);
    values.push(value / scale);
  }
  const laid = typeof thickness === "object" && thickness.basis === "amount" ? ` ${thickness.value}` : "";
  return {
    row,
    label: bare ? "bare" : named || `amount${laid}`,
    bare,
    ground: text(place.ground).slice(0, 100) || "ground",
    specular: choice(place.specular, ["included", "excluded"], "included", "specular part"),
    basis: several && !bare ? choice(place.basis, allowed, "volume", "basis of the amounts") : "dry volume",
    amounts,
    thickness,
    errorPercent: number(place.error_percent, 0.01, 300),
    wavelengths,
    values,
  };
}

function thicknessOf(
  columns: DrawdownColumns,
  cells: readonly string[],
  number: (column: number, least: number, most: number) => number | undefined,
  fault: (problem: string, wayOut: string, column: number) => Error,
): DrawdownRow["thickness"] {
  const filled = columns.thickness.filter(({ column }) => cells[column] !== "");
  if (filled.length === 0) return "unknown";
  const [{ basis, column }] = filled;
  if (filled.length > 1) {
    const names = filled.map(({ heading }) => heading).join(" and ");
    throw fault(`both ${names} are filled in`, "Keep the one that was measured", filled[1].column);
  }
  if (cells[column].toLowerCase() === "opaque") return "opaque";
  const { least, most } = drawdownFileLimits.thickness;
  const value = number(column, basis === "amount" ? 0 : least, basis === "amount" ? 1e9 : most);
  return { basis, value: value as number };
}
