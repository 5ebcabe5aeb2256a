import Papa from "papaparse";
import { plural } from "../words/plural.ts";
import { SpectrumFileError } from "./spectrumFileError.ts";

/** One row of the file with its number, counted from 1. Numbers have a decimal point, whatever the file uses. */
export interface CellRow {
  row: number;
  cells: string[];
}

const separators = [
  { sign: "\t", word: "tabs" },
  { sign: ";", word: "semicolons" },
  { sign: ",", word: "commas" },
] as const;

/** Comments and empty lines count. */
const mostRows = 10_000;

// In these patterns every sign can be taken in one way only: a long cell takes no longer than its signs.
const point = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?$/;
const comma = /^[+-]?(?:\d+,\d*|,\d+)(?:[eE][+-]?\d{1,3})?$/;

/** A number with a decimal point, or undefined for anything else. */
export function numberOf(cell: string): number | undefined {
  if (!point.test(cell)) return undefined;
  const value = Number(cell);
  return Number.isFinite(value) ? value : undefined;
}

/**
 * Splits the text into rows of equal length, without comments and empty lines.
 *
 * @throws SpectrumFileError for text that is no CSV, rows that differ in length, or two decimal signs in one file
 */
export function readCells(text: string, fileName: string, notes: string[]): CellRow[] {
  if (text.startsWith("PK\u0003\u0004") || text.includes("\0")) {
    throw new SpectrumFileError(fileName, "this is not a text file", "Export the readings as CSV");
  }
  const clean = text.replace(/^\uFEFF/, "").replace(/\r\n?/g, "\n");
  const firstLine = clean.split("\n").find((line) => line.trim() !== "" && !line.trimStart().startsWith("#"));
  if (firstLine === undefined) {
    throw new SpectrumFileError(fileName, "the file is empty", "Export the readings again");
  }
  const separator = separatorOf(firstLine, fileName);
  notes.push(`fields separated by ${separator.word}`);
  const parsed = Papa.parse<string[]>(clean, {
    delimiter: separator.sign,
    newline: "\n",
    skipEmptyLines: false,
    preview: mostRows + 1,
  });
  if (parsed.data.length > mostRows) {
    throw new SpectrumFileError(fileName, `there are more than ${mostRows} rows`, "Split the file");
  }
  const broken = parsed.errors.find((error) => error.type === "Quotes");
  if (broken) {
    throw new SpectrumFileError(
      fileName,
      "a quotation mark is out of place",
      "Close it, or take it out",
      (broken.row ?? 0) + 1,
    );
  }
  const rows: CellRow[] = [];
  let comments = 0;
  parsed.data.forEach((fields, index) => {
    const cells = fields.map((field) => field.trim());
    if (cells[0].startsWith("#")) comments++;
    else if (cells.some((cell) => cell !== "")) rows.push({ row: index + 1, cells });
  });
  if (rows.length === 0) {
    throw new SpectrumFileError(
      fileName,
      "there is nothing in it but separators and comments",
      "Export the readings again",
    );
  }
  if (comments > 0) notes.push(`${plural(comments, "comment line")} passed over`);
  dropEmptyEnd(rows, notes);
  refuseRagged(rows, fileName);
  readDecimalCommas(rows, separator.sign, fileName, notes);
  return rows;
}

function separatorOf(line: string, fileName: string) {
  const unquoted = line.replace(/"[^"]*"/g, "");
  const found = separators.find(({ sign }) => unquoted.includes(sign));
  if (!found) {
    throw new SpectrumFileError(
      fileName,
      "there is only one column",
      "Separate wavelength and readings by commas, semicolons or tabs",
    );
  }
  return found;
}

/** Some programs end every line with a separator. */
function dropEmptyEnd(rows: CellRow[], notes: string[]): void {
  const width = rows.reduce((most, { cells }) => Math.max(most, cells.length), 0);
  const last = rows.filter(({ cells }) => cells.length === width);
  if (width < 2 || last.length < rows.length - 1 || last.some(({ cells }) => cells[width - 1] !== "")) return;
  for (const { cells } of last) cells.pop();
  notes.push("an empty last column was left out");
}

function refuseRagged(rows: CellRow[], fileName: string): void {
  const width = rows[0].cells.length;
  const ragged = rows.find(({ cells }) => cells.length !== width);
  if (!ragged) return;
  throw new SpectrumFileError(
    fileName,
    `the row has ${ragged.cells.length} fields, but the first row has ${width}`,
    "Give every row the same number of fields; lines of other text may start with #",
    ragged.row,
  );
}

/** Turns decimal commas into points. A file that uses both is refused, because one of them means thousands. */
function readDecimalCommas(rows: CellRow[], separator: string, fileName: string, notes: string[]): void {
  if (separator === ",") return;
  let withComma: { row: number; cell: string } | undefined;
  let withPoint: { row: number; cell: string } | undefined;
  for (const { row, cells } of rows) {
    for (let i = 0; i < cells.length; i++) {
      if (comma.test(cells[i])) {
        withComma ??= { row, cell: cells[i] };
        cells[i] = cells[i].replace(",", ".");
      } else if (cells[i].includes(".") && point.test(cells[i])) withPoint ??= { row, cell: cells[i] };
    }
  }
  if (withComma && withPoint) {
    throw new SpectrumFileError(
      fileName,
      `"${withComma.cell}" has a decimal comma, but "${withPoint.cell}" in row ${withPoint.row} has a decimal point`,
      "Use one of the two in the whole file",
      withComma.row,
    );
  }
  if (withComma) notes.push("commas in numbers read as decimal commas");
}
