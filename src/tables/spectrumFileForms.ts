import { SpectrumFileError } from "./spectrumFileError.ts";
import { type CellRow, numberOf } from "./spectrumFileText.ts";

/** A number and where it stands in the file. */
interface PlacedNumber {
  value: number;
  row: number;
  field: string;
}

/** Wavelengths and readings as they stand in the file. */
export interface SpectrumCells {
  wavelengths: PlacedNumber[];
  labels: string[];
  /** What stands above or beside the wavelengths. */
  heading: string;
  /** One list for each label, in the order of the wavelengths. */
  readings: PlacedNumber[][];
}

const shortestNm = 200;
const longestNm = 2600;
/** Fewer make no spectrum. */
export const fewestWavelengths = 8;

/** A wavelength such as "400", "400.5" or "400 nm"; undefined for anything else. No reading is that large. */
export function wavelengthOf(cell: string): number | undefined {
  // Not by a pattern with blanks before "nm": that takes quadratic time on a long row of blanks.
  const bare = cell.slice(-2).toLowerCase() === "nm" ? cell.slice(0, -2).trimEnd() : cell;
  const value = numberOf(bare);
  return value !== undefined && value >= shortestNm && value <= longestNm ? value : undefined;
}

/**
 * Whether the wavelengths run down the first column or along the first row. Names of samples may be numbers that look
 * like wavelengths; where both could be meant, only the corner of the table can tell.
 *
 * @throws SpectrumFileError when it does not, or when there are no wavelengths at all
 */
export function directionOf(rows: readonly CellRow[], fileName: string): "down" | "across" {
  const first = rows[0].cells;
  // What stands before the wavelengths of a first row names the samples: a name, perhaps a date.
  const start = first.findIndex((cell) => wavelengthOf(cell) !== undefined);
  const across = axis(start < 0 ? [] : first.slice(start));
  const hasCorner = start !== 0;
  const body = rows.slice(1).map(({ cells }) => cells[0]);
  const down = axis(hasCorner ? body : [first[0], ...body]);
  if (across.count === 0 && down.count === 0) {
    throw new SpectrumFileError(
      fileName,
      "no wavelengths were found",
      "Put wavelengths from 200 to 2600 nm into the first column (one column for each sample) or into the first row (one row for each sample)",
    );
  }
  if (across.whole !== down.whole) return down.whole ? "down" : "across";
  if (!across.whole) return across.count > down.count ? "across" : "down";
  const corner = hasCorner ? first[0] : "";
  const saysDown = /wave|lambda|λ|(?:^|[^a-z])nm(?:[^a-z]|$)/i.test(corner);
  const saysAcross = /name|sample|label|(?:^|[^a-z])id(?:[^a-z]|$)/i.test(corner);
  if (saysDown !== saysAcross) return saysDown ? "down" : "across";
  throw new SpectrumFileError(
    fileName,
    "first row and first column could both be wavelengths",
    'Write "wavelength_nm" over a column of wavelengths, or "sample" over a column of names',
  );
}

/** How many cells look like wavelengths, and whether all of them together could be an axis: enough, and rising. */
function axis(cells: readonly string[]): { count: number; whole: boolean } {
  const values = cells.map(wavelengthOf);
  const found = values.filter((value) => value !== undefined);
  const whole =
    found.length === cells.length &&
    found.length >= fewestWavelengths &&
    found.every((value, i) => i === 0 || value > found[i - 1]);
  return { count: found.length, whole };
}

/** Wavelengths down the first column, a column for each sample. */
export function columnForm(rows: CellRow[], fileName: string, notes: string[]): SpectrumCells {
  const first = rows[0].cells;
  const hasHeader =
    wavelengthOf(first[0]) === undefined && first.some((cell) => numberOf(cell) === undefined);
  const width = first.length;
  if (width < 2) {
    throw new SpectrumFileError(
      fileName,
      "there are wavelengths but no readings",
      "Add a column with the readings",
    );
  }
  const header = hasHeader ? first : first.map(() => "");
  const body = hasHeader ? rows.slice(1) : rows;
  notes.push("wavelengths read from the first column, in nm");
  if (!hasHeader) notes.push("there is no heading row");
  const fieldName = (column: number) => header[column] || `column ${column + 1}`;
  const wavelengths = body.map(({ row, cells }) => wavelengthAt(cells[0], fileName, row, fieldName(0)));
  const readings = header
    .slice(1)
    .map((_, i) => body.map(({ row, cells }) => readingAt(cells[i + 1], fileName, row, fieldName(i + 1))));
  return { wavelengths, labels: header.slice(1), heading: header[0], readings };
}

/** Wavelengths along the first row, a row for each sample; what stands before the wavelengths names the samples. */
export function rowForm(rows: CellRow[], fileName: string, notes: string[]): SpectrumCells {
  const [header, ...body] = rows;
  const start = header.cells.findIndex((cell) => wavelengthOf(cell) !== undefined);
  if (body.length === 0) {
    throw new SpectrumFileError(
      fileName,
      "there are wavelengths but no readings",
      "Add a row for each sample",
    );
  }
  notes.push("wavelengths read from the first row, in nm");
  if (start === 0) notes.push("there is no column with names");
  if (start > 1) {
    const left = header.cells.slice(1, start).map((cell, i) => cell || `column ${i + 2}`);
    notes.push(`samples named after the first column; left out: ${left.join(", ")}`);
  }
  const wavelengths = header.cells
    .slice(start)
    .map((cell, i) => wavelengthAt(cell, fileName, header.row, `column ${start + i + 1}`));
  const readings = body.map(({ row, cells }) =>
    cells.slice(start).map((cell, i) => readingAt(cell, fileName, row, header.cells[start + i])),
  );
  return {
    wavelengths,
    labels: body.map(({ cells }) => (start === 0 ? "" : cells[0])),
    heading: header.cells.slice(0, start).join(" "),
    readings,
  };
}

function wavelengthAt(cell: string, fileName: string, row: number, field: string): PlacedNumber {
  const value = wavelengthOf(cell);
  if (value !== undefined) return { value, row, field };
  const problem =
    numberOf(cell) === undefined
      ? `${shown(cell)} is not a wavelength`
      : `the wavelength ${cell} is outside the allowed range ${shortestNm} to ${longestNm} nm`;
  throw new SpectrumFileError(
    fileName,
    problem,
    "Give wavelengths as numbers in nm; lines of other text may start with #",
    row,
    field,
  );
}

function readingAt(cell: string, fileName: string, row: number, field: string): PlacedNumber {
  const value = numberOf(cell);
  if (value !== undefined) return { value, row, field };
  throw new SpectrumFileError(
    fileName,
    `${shown(cell)} is not a number`,
    "Give every reading as a plain number such as 0.153, or take the column out of the file",
    row,
    field,
  );
}

function shown(cell: string): string {
  if (cell === "") return "an empty field";
  return `"${cell.length > 40 ? `${cell.slice(0, 40)}…` : cell}"`;
}
