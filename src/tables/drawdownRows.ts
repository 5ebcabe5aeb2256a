import type { ReadingAnswers } from "./doubt.ts";
import {
  columnsOf,
  type DrawdownColumns,
  type DrawdownSettings,
  drawdownFileLimits,
  settingsOf,
} from "./drawdownHeader.ts";
import { commentsOf, refuseOtherKind } from "./readingKind.ts";
import { scaleInRemarks, scaleOfReadings } from "./readingScale.ts";
import { SpectrumFileError } from "./spectrumFileError.ts";
import { type CellRow, numberOf, readCells } from "./spectrumFileText.ts";

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
  /** CIELAB, where the file has columns for it */
  Lab: [number, number, number] | undefined;
}

/** Everything in a file of drawdowns before it is gathered into films. */
interface DrawdownRows {
  readonly settings: DrawdownSettings;
  readonly columns: DrawdownColumns;
  readonly rows: readonly DrawdownRow[];
  /** what was assumed, in words; more may be added */
  readonly notes: string[];
}

/**
 * Reads the rows of a file of drawdowns.
 *
 * @throws SpectrumFileError that names file, row and field, and a way out
 */
export function readDrawdownRows(text: string, fileName: string, answers: ReadingAnswers = {}): DrawdownRows {
  if (text.length > drawdownFileLimits.characters) {
    throw new SpectrumFileError(
      fileName,
      "the file is larger than 10 MB",
      "Split it, or leave out what is not needed",
    );
  }
  const notes: string[] = [];
  const comments = commentsOf(text);
  for (const comment of comments) refuseOtherKind(comment, fileName, "a comment");
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
  const scale =
    columns.wavelengths.length > 0 ? scaleOf(body, columns, fileName, comments, answers, notes) : 1;
  const rows = body.map((row) => rowOf(row, columns, scale, fileName, notes));
  return { settings, columns, rows, notes };
}

/**
 * Checks all readings by their scale. 100 for per cent.
 *
 * @throws DoubtfulFileError where a person has to say the scale
 */
function scaleOf(
  body: readonly CellRow[],
  { wavelengths, header }: DrawdownColumns,
  fileName: string,
  said: readonly string[],
  answers: ReadingAnswers,
  notes: string[],
): number {
  const samples = body.map(({ row, cells }) =>
    wavelengths.flatMap(({ column }) => {
      const value = numberOf(cells[column]);
      return value === undefined ? [] : [{ value, row, field: header[column] }];
    }),
  );
  const stated = scaleInRemarks(said);
  const { scale, note } = scaleOfReadings(samples, {
    file: fileName,
    stated: stated && { scale: stated, because: "a comment says so" },
    answers: answers.scale === "each" ? { ...answers, scale: undefined } : answers,
    allowed: drawdownFileLimits.reading,
  });
  notes.push(note);
  return scale === "percent" ? 100 : 1;
}

/** A row of the file; in one piece because every complaint names the row and the column that it comes from. */
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
    // The paste alone is whole by any basis; a wet thickness needs to know that its amount was a wet one.
    basis:
      !bare && (several || text(place.basis) !== "")
        ? choice(place.basis, allowed, "volume", "basis of the amounts")
        : "dry volume",
    amounts,
    thickness,
    errorPercent: number(place.error_percent, 0.01, 300),
    wavelengths,
    values,
    Lab: columns.Lab && LabOf(columns.Lab, number, fault),
  };
}

function LabOf(
  columns: readonly [number, number, number],
  number: (column: number, least: number, most: number) => number | undefined,
  fault: (problem: string, wayOut: string, column: number) => Error,
): [number, number, number] {
  const { lightness, axis } = drawdownFileLimits;
  const [L, a, b] = columns.map((column, k) => {
    const value = number(column, k === 0 ? 0 : -axis, k === 0 ? lightness : axis);
    if (value === undefined)
      throw fault("the colour is not complete", "Give L*, a* and b* in every row", column);
    return value;
  });
  return [L, a, b];
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
