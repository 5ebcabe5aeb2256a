import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import { countOf } from "./countOf.ts";

/** One table of a CGATS file as it stands: keywords with their values, field names, rows of words. */
export interface CgatsTable {
  /** keywords in capitals; each table has its own, and nothing is taken over from the table before */
  readonly keywords: ReadonlyMap<string, readonly string[]>;
  readonly fields: readonly string[];
  readonly rows: readonly { readonly row: number; readonly words: readonly string[] }[];
}

const blank = /\s/;
const longestLine = 500_000;
const mostLineEnds = 100_000;
const mostFields = 4000;
const mostKeywords = 10_000;
const mostRows = 20_000;

/**
 * Splits CGATS.17 text into tables: keyword lines, BEGIN_DATA_FORMAT … END_DATA_FORMAT, BEGIN_DATA … END_DATA, again
 * for each table. Words stand between white space; a word in quotation marks may hold white space, a doubled mark is
 * one mark; `#` starts a comment. A data row may go on over several lines, but must end with a line.
 *
 * It is in one piece because the place reached in the file decides how each line is read.
 *
 * @throws SpectrumFileError for a file that breaks these rules, or whose counts do not agree with its rows
 * Source: CGATS.17 (ANSI CGATS.17-2009, ISO 28178), layout of the text form (from memory).
 */
export function cgatsTables(text: string, file: string, assumptions: string[]): CgatsTable[] {
  const refuse = (problem: string, wayOut: string, row?: number): never => {
    throw new SpectrumFileError(file, problem, wayOut, row);
  };
  const tables: CgatsTable[] = [];
  let keywords = new Map<string, string[]>();
  let fields: string[] = [];
  let rows: { row: number; words: string[] }[] = [];
  let place: "keywords" | "format" | "data" = "keywords";
  let pending: { row: number; words: string[] } | undefined;
  let wrapped = false;
  let keywordLines = 0;

  const ends = countOf(text, "\n", mostLineEnds) + countOf(text, "\r", mostLineEnds);
  if (ends > mostLineEnds) refuse(`there are more than ${mostLineEnds / 2} lines`, "Split the file");
  const lines = text.split(/\r\n|\n|\r/);
  lines.forEach((line, index) => {
    const row = index + 1;
    if (line.length > longestLine)
      refuse(`the line is longer than ${longestLine} signs`, "Check the file", row);
    const words = wordsOf(line, place === "data" ? fields.length : undefined, file, row);
    if (words.length === 0) return;
    const first = words[0].toUpperCase();
    if (first === "BEGIN_DATA_FORMAT") {
      if (place !== "keywords")
        refuse("BEGIN_DATA_FORMAT inside a table", "End the table before it first", row);
      place = "format";
      fields = [];
      takeFields(words.slice(1));
    } else if (place === "format") takeFields(words);
    else if (first === "BEGIN_DATA") {
      if (place !== "keywords" || fields.length === 0) {
        refuse("BEGIN_DATA without the names of the fields before it", "Add BEGIN_DATA_FORMAT", row);
      }
      place = "data";
      rows = [];
    } else if (first === "END_DATA") {
      if (place !== "data") refuse("END_DATA without BEGIN_DATA", "Check the file", row);
      if (pending)
        refuse(`the row has ${pending.words.length} of ${fields.length} values`, "Check it", pending.row);
      closeTable(row);
    } else if (place === "data") takeRow(words, row);
    else takeKeyword(words, row);

    function takeFields(names: readonly string[]): void {
      for (const name of names) {
        if (name.toUpperCase() === "END_DATA_FORMAT") {
          place = "keywords";
          if (fields.length === 0)
            refuse("no names of fields between BEGIN_ and END_DATA_FORMAT", "Add them", row);
          return;
        }
        fields.push(name);
        if (fields.length > mostFields)
          refuse(`there are more than ${mostFields} fields`, "Split the file", row);
      }
    }
  });
  if (place !== "keywords") {
    refuse(
      `the file ends before ${place === "data" ? "END_DATA" : "END_DATA_FORMAT"}`,
      "It is incomplete: export it again",
    );
  }
  if (tables.length === 0)
    refuse("there is no data between BEGIN_DATA and END_DATA", "Export the readings again");
  if (wrapped) assumptions.push("rows that go on over several lines were joined");
  return tables;

  function takeKeyword(words: readonly string[], row: number): void {
    if (++keywordLines > mostKeywords)
      refuse(`there are more than ${mostKeywords} lines outside the data`, "Split the file", row);
    const keyword = words[0].toUpperCase();
    // "KEYWORD" only announces a keyword that is not in the standard.
    if (keyword === "KEYWORD") return;
    const values = keywords.get(keyword) ?? [];
    values.push(words.slice(1).join(" "));
    keywords.set(keyword, values);
  }

  function takeRow(words: string[], row: number): void {
    if (pending) {
      for (const word of words) pending.words.push(word);
      wrapped = true;
    } else pending = { row, words };
    if (pending.words.length > fields.length) {
      refuse(
        `the row has ${words.length} values, but there are ${fields.length} fields`,
        "Give every row one value for each field; put names with spaces into quotation marks",
        row,
      );
    }
    if (pending.words.length === fields.length) {
      rows.push(pending);
      pending = undefined;
      if (rows.length > mostRows) refuse(`there are more than ${mostRows} rows`, "Split the file", row);
    }
  }

  function closeTable(row: number): void {
    const counts = [
      ["NUMBER_OF_FIELDS", fields.length, "fields"],
      ["NUMBER_OF_SETS", rows.length, "rows"],
    ] as const;
    for (const [keyword, count, what] of counts) {
      const said = keywords.get(keyword)?.at(-1);
      if (said !== undefined && Number(said) !== count) {
        refuse(
          `${keyword} is ${said}, but there are ${count} ${what}`,
          "The file may be incomplete: export it again",
          row,
        );
      }
    }
    tables.push({ keywords, fields, rows });
    keywords = new Map();
    fields = [];
    rows = [];
    place = "keywords";
  }
}

/**
 * Words of one line. With tabs in a data line, fields between tabs count, so that an empty one stays an empty word.
 * Read sign by sign: no pattern that could run away on hostile text.
 */
function wordsOf(line: string, fieldCount: number | undefined, file: string, row: number): string[] {
  const words: string[] = [];
  // Places in `words` after which a tab stood.
  let tabs = 0;
  const afterTab: number[] = [];
  for (let i = 0; i < line.length; i++) {
    const sign = line[i];
    if (sign === "\t") {
      tabs++;
      afterTab.push(words.length);
    } else if (sign === "#") break;
    else if (sign === '"') {
      let word = "";
      let closed = false;
      for (i++; i < line.length && !closed; i++) {
        if (line[i] !== '"') word += line[i];
        else if (line[i + 1] === '"') {
          word += '"';
          i++;
        } else closed = true;
      }
      if (!closed) {
        throw new SpectrumFileError(file, "a quotation mark is not closed", "Close it, or take it out", row);
      }
      // Behind the mark; the outer loop goes on one further.
      i--;
      words.push(word);
    } else if (!blank.test(sign)) {
      const start = i;
      for (; i + 1 < line.length && line[i + 1] !== '"' && !blank.test(line[i + 1]); i++);
      words.push(line.slice(start, i + 1));
    }
  }
  // A row of `n` fields between n − 1 tabs: two tabs in a row hold an empty field.
  if (fieldCount !== undefined && tabs === fieldCount - 1 && words.length < fieldCount && words.length > 0) {
    const filled: string[] = [];
    const bounds = [0, ...afterTab, words.length];
    for (let k = 0; k + 1 < bounds.length; k++) {
      const between = words.slice(bounds[k], bounds[k + 1]);
      if (between.length > 1) return words;
      filled.push(between[0] ?? "");
    }
    return filled;
  }
  return words;
}
