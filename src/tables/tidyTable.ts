import Papa from "papaparse";
import { plural } from "../words/plural.ts";
import { DoubtfulFileError, type ReadingAnswers } from "./doubt.ts";
import { SpectrumFileError } from "./spectrumFileError.ts";
import { isUnit, isWavelength, layoutOf, type TableLayout, type TableRow } from "./tableLayout.ts";
import { marksOf, type NumberMarks, plainNumber } from "./tableNumbers.ts";

/** A table as the readers expect it, with the rows of the file in their places. */
interface TidyTable {
  /** the text of the file where nothing had to be done */
  readonly text: string;
  /** what was done, in words */
  readonly notes: readonly string[];
}

/** What was taken for what in a table. */
export interface FoundTable {
  readonly separator: string;
  readonly layout: TableLayout;
  readonly rows: readonly TableRow[];
  /** undefined where numbers contradict each other */
  readonly marks: NumberMarks | undefined;
  /** what units beside the readings say of their scale */
  readonly unit: "percent" | "fraction" | undefined;
}

/** What a reader says of the tables it reads. */
interface TableOptions {
  readonly answers?: ReadingAnswers;
  /** a heading row of its own kind, such as L*, a*, b* */
  readonly isHead?: (cells: readonly string[]) => boolean;
  /** a row or column with a heading and no readings stays, and all columns may hold numbers */
  readonly sparse?: boolean;
}

const mostRows = 10_000;
const signs = ["\t", ";", ","] as const;
/** As many separators make a row of wavelengths. */
const fewestAlong = 8;

/**
 * Brings an export of a spreadsheet into the layout that the readers take: title lines become comments, units beside the
 * readings a comment that says the scale, empty columns and those set aside go, the column of wavelengths comes first,
 * numbers lose the marks between their thousands. A table that needs none of this stays as it is, to the letter.
 *
 * @throws DoubtfulFileError for numbers that could be meant both ways; SpectrumFileError for units that differ
 */
export function tidyTable(text: string, file: string, options: TableOptions = {}): TidyTable {
  const lines = linesOf(text);
  const found = lines && foundIn(lines, file, options);
  if (!lines || !found) return { text, notes: [] };
  const { layout, marks, separator, unit } = found;
  if (marks?.open !== undefined) {
    throw new DoubtfulFileError("decimal", file, `"${marks.open}" can be meant in two ways`);
  }
  const notes = workOn(found, text);
  if (notes.length === 0) return { text, notes };
  const decimal = marks?.decimal ?? "point";
  const places = new Map(found.rows.map(({ row }, k) => [row, k]));
  const { axis, direction } = layout;
  const order = layout.columns.flatMap((role, c) =>
    role === "empty" || role === "left out" || role === "units" ? [] : [c],
  );
  if (direction === "down") order.sort((a, b) => Number(b === axis) - Number(a === axis) || a - b);
  const write = (fields: readonly string[], at: number): string => {
    const k = places.get(at + 1);
    if (k === undefined) return fields.join(separator).replace(/\s/g, " ");
    const { cells } = found.rows[k];
    const role = layout.rows[k];
    if (role === "title") return `# ${titleWords(cells)}`;
    if (role === "units" || role === "left out" || role === "empty") return "";
    const isNumber = (c: number) =>
      k === layout.head ? direction === "across" && c >= axis : layout.columns[c] !== "names";
    const bare = (cell: string) =>
      options.sparse || unit !== "percent" ? cell : cell.replace(percentCell, "$1");
    return order
      .filter((c) => c < cells.length)
      .map((c) => quoted(isNumber(c) ? plainNumber(bare(cells[c]), decimal) : cells[c]))
      .join(separator);
  };
  const written = lines.rows.map(write);
  if (unit) written.push(unit === "percent" ? "# in %" : "# values: fractions", "");
  return { text: written.join("\n"), notes };
}

/**
 * What is taken for what in a table, to be shown; undefined where no table is found.
 *
 * @throws SpectrumFileError for units that differ
 */
export function findTable(text: string, file: string, options: TableOptions = {}): FoundTable | undefined {
  const lines = linesOf(text);
  return lines && foundIn(lines, file, options);
}

/** A longer text is read without showing how. */
const mostShown = 1_000_000;

/**
 * The same of a file that is being read; undefined where nothing of a table is found. What is wrong is told by the reading.
 * @param isToShow whether a text that is short enough is to be looked into; may throw instead
 */
export function tableToShow(
  {
    name,
    text,
    answers,
  }: { readonly name: string; readonly text: string; readonly answers?: ReadingAnswers },
  options: Omit<TableOptions, "answers">,
  isToShow: (text: string, name: string) => boolean = () => true,
): FoundTable | undefined {
  if (text.length > mostShown) return undefined;
  try {
    return isToShow(text, name) ? findTable(text, name, { ...options, answers }) : undefined;
  } catch {
    return undefined;
  }
}

interface Lines {
  readonly separator: string;
  /** all rows of the file, comments too */
  readonly rows: readonly string[][];
}

/** The rows of the file; undefined for a text that is no table, or that is broken. */
function linesOf(text: string): Lines | undefined {
  if (text.includes("\0") || text.startsWith("PK\u0003\u0004")) return undefined;
  const clean = text.replace(/^\uFEFF/, "").replace(/\r\n?/g, "\n");
  const separator = separatorOf(clean);
  if (separator === undefined) return undefined;
  const { data, errors } = Papa.parse<string[]>(clean, {
    delimiter: separator,
    newline: "\n",
    skipEmptyLines: false,
    preview: mostRows + 1,
  });
  if (data.length > mostRows || errors.some(({ type }) => type === "Quotes")) return undefined;
  return { separator, rows: data };
}

/** The sign that most lines have, or that one has many of, as a row with wavelengths along it; a title line may hold others. */
function separatorOf(text: string): string | undefined {
  const counts = { "\t": 0, ";": 0, ",": 0 };
  const inOne = { "\t": 0, ";": 0, ",": 0 };
  let lines = 0;
  for (const line of text.split("\n", mostRows)) {
    if (line.trim() === "" || line.trimStart().startsWith("#")) continue;
    const told = /^sep=([\t;,])$/i.exec(line);
    if (told) return told[1];
    lines++;
    const unquoted = line.includes('"') ? line.replace(/"[^"]*"/g, "") : line;
    for (const sign of signs) {
      if (!unquoted.includes(sign)) continue;
      counts[sign]++;
      inOne[sign] = Math.max(inOne[sign], unquoted.split(sign, fewestAlong + 1).length - 1);
    }
  }
  return signs.find((sign) => counts[sign] > 0 && (2 * counts[sign] >= lines || inOne[sign] >= fewestAlong));
}

function foundIn(
  { rows: all, separator }: Lines,
  file: string,
  options: TableOptions,
): FoundTable | undefined {
  const rows = all.flatMap((fields, at): TableRow[] => {
    const cells = fields.map((field) => field.trim());
    return cells[0].startsWith("#") || (cells.length === 1 && /^sep=.?$/i.test(cells[0]))
      ? []
      : [{ row: at + 1, cells }];
  });
  const layout = layoutOf(rows, options.answers?.layout, options.isHead, options.sparse);
  if (!layout) return undefined;
  const values = rows.flatMap(({ cells }, k) =>
    layout.rows[k] === "readings"
      ? cells.filter((cell, c) => cell !== "" && layout.columns[c] === "readings")
      : [],
  );
  const unit =
    options.sparse || layout.direction === "colours" ? undefined : unitOf(rows, layout, values, file);
  const axis = axisOf(rows, layout);
  const bare = values.map((cell) => cell.replace(percentCell, "$1"));
  return {
    separator,
    layout,
    rows,
    marks: marksOf([...bare, ...axis], axis, isWavelength, options.answers?.decimal),
    unit,
  };
}

const percentCell = /^([+\-−]?\d[\d.,]{0,20})[ \u00a0]?%$/;

function axisOf(rows: readonly TableRow[], { direction, head, axis, rows: roles }: TableLayout): string[] {
  const cells =
    direction === "across"
      ? rows[head].cells.slice(axis)
      : direction === "down"
        ? rows.flatMap(({ cells: own }, k) => (roles[k] === "readings" ? [own[axis] ?? ""] : []))
        : [];
  return cells.map((cell) => cell.replace(/\s?nm$/i, ""));
}

/** What units in a line, in a column, or behind the numbers say. @throws SpectrumFileError where they differ */
function unitOf(
  rows: readonly TableRow[],
  layout: TableLayout,
  values: readonly string[],
  file: string,
): FoundTable["unit"] {
  const words = rows.flatMap(({ row, cells }, k) =>
    cells.flatMap((cell, c) => {
      const own =
        layout.rows[k] === "units" || (layout.rows[k] === "readings" && layout.columns[c] === "units");
      return own && isUnit(cell) ? [{ row, cell }] : [];
    }),
  );
  const wrong = words.find(({ cell }) => /[µμu]m|Å|^A$|cm/i.test(cell) && !/nm/i.test(cell));
  if (wrong) {
    throw new SpectrumFileError(
      file,
      `the wavelengths are not in nm but in ${wrong.cell}`,
      "Give wavelengths in nm",
      wrong.row,
    );
  }
  const percent = words.find(({ cell }) => /%|per ?cent|pct/i.test(cell));
  const fraction = words.find(({ cell }) => /fraction|1/i.test(cell));
  const marked = values.filter((cell) => percentCell.test(cell));
  const plain = marked.length > 0 ? values.find((cell) => !percentCell.test(cell)) : undefined;
  const [one, other] =
    plain !== undefined ? [`"${marked[0]}"`, `"${plain}"`] : [`"${percent?.cell}"`, `"${fraction?.cell}"`];
  if (plain !== undefined || (percent && fraction)) {
    throw new SpectrumFileError(
      file,
      `the units are mixed: ${one} stands beside ${other}`,
      "Give all readings in per cent or all as fractions, or leave out the lines that are otherwise",
      percent?.row,
    );
  }
  return percent || marked.length > 0 ? "percent" : fraction ? "fraction" : undefined;
}

/** What has to be done to a table, in words; empty where it stays as it is. */
function workOn({ layout, rows, marks, separator, unit }: FoundTable, text: string): string[] {
  const notes: string[] = [];
  const rowsAs = (role: string) => rows.filter((_, k) => layout.rows[k] === role).map(({ row }) => row);
  const tell = (list: readonly number[], one: string, many: string) => {
    if (list.length > 0)
      notes.push(`${plural(list.length, one, many)} (${list.length > 1 ? "rows" : "row"} ${someOf(list)})`);
  };
  tell(rowsAs("title"), "title line taken as a comment", "title lines taken as comments");
  tell(rowsAs("units"), "line taken for units", "lines taken for units");
  tell(rowsAs("left out"), "row left out", "rows left out");
  const columnsAs = (role: string) => layout.columns.flatMap((own, c) => (own === role ? [c + 1] : []));
  const empty = columnsAs("empty");
  if (empty.length > 0) notes.push(`${plural(empty.length, "empty column")} left out`);
  const out = [...columnsAs("left out"), ...columnsAs("units")];
  if (out.length > 0) notes.push(`left out: ${out.length > 1 ? "columns" : "column"} ${someOf(out)}`);
  if (layout.direction === "down" && layout.axis > 0)
    notes.push(`wavelengths found in column ${layout.axis + 1}`);
  if (marks?.thousands) notes.push("marks between thousands taken out of numbers");
  if (marks?.decimal === "comma" && separator === ",") notes.push("commas in numbers read as decimal commas");
  if (unit) notes.push(`the units say ${unit === "percent" ? "per cent" : "fractions"}`);
  const first = text
    .split(/\r\n?|\n/, mostRows)
    .find((line) => line.trim() !== "" && !line.trimStart().startsWith("#"));
  if (
    signs.find((sign) => (first ?? "").replace(/"[^"]*"/g, "").includes(sign)) !== separator &&
    notes.length === 0
  ) {
    notes.push("the separator was told by most of the lines");
  }
  return notes;
}

function someOf(list: readonly number[]): string {
  return list.length > 5 ? `${list.slice(0, 5).join(", ")} and ${list.length - 5} more` : list.join(", ");
}

/** A title line as a comment: "Illuminant", "D65" says what "# Illuminant: D65" says. */
function titleWords(cells: readonly string[]): string {
  const filled = cells.filter((cell) => cell !== "");
  const words = filled.length === 2 ? `${filled[0].replace(/\s?:$/, "")}: ${filled[1]}` : filled.join(" / ");
  return words.replace(/["\s]+/g, " ").slice(0, 400);
}

function quoted(field: string): string {
  return /[",;\t\n]/.test(field) ? `"${field.replaceAll('"', '""').replace(/\n/g, " ")}"` : field;
}
