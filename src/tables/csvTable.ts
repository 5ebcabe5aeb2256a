/** A table read from CSV text: comment lines starting with `#`, one header row, then rows. */
export interface CsvTable {
  readonly file: string;
  /** the comment lines, without `#`: origin, licence, units */
  readonly comments: readonly string[];
  readonly columns: readonly string[];
  readonly rows: readonly CsvRow[];
}

/** One row; a field that cannot be read is refused with file, row and field in the message. */
export interface CsvRow {
  /** line in the file, counted from 1 */
  readonly line: number;
  /** @throws RangeError for an unknown field or an empty one */
  text(field: string): string;
  /** @throws RangeError for an unknown field, an empty one or one that is not a finite number */
  number(field: string): number;
  /** undefined for an empty field. @throws RangeError for an unknown field or one that is not a finite number */
  optionalNumber(field: string): number | undefined;
  /** empty string for an empty field. @throws RangeError for an unknown field */
  optionalText(field: string): string;
}

/**
 * Reads CSV text: comma between fields, `"` around a field that holds a comma (doubled for a quote), one row per line.
 * @param file name for messages
 * @throws RangeError naming file, row and field for a table that cannot be read
 */
export function parseCsvTable(text: string, file: string): CsvTable {
  const comments: string[] = [];
  const rows: CsvRow[] = [];
  let columns: string[] | undefined;
  const lines = text.split(/\r?\n/);
  lines.forEach((content, index) => {
    const line = index + 1;
    if (content.startsWith("#") && columns === undefined) comments.push(content.slice(1).trim());
    else if (content.trim() === "" || content.startsWith("#")) return;
    else if (columns === undefined) columns = headerOf(splitFields(content, file, line), file, line);
    else rows.push(rowOf(splitFields(content, file, line), columns, file, line));
  });
  if (columns === undefined) throw new RangeError(`${file}: no header row`);
  if (rows.length === 0) throw new RangeError(`${file}: no rows below the header`);
  return Object.freeze({ file, comments, columns, rows });
}

/** One column as numbers. @throws RangeError naming file, row and field */
export function numberColumn(table: CsvTable, field: string): Float64Array {
  return Float64Array.from(table.rows, (row) => row.number(field));
}

function headerOf(columns: string[], file: string, line: number): string[] {
  const twice = columns.find((name, i) => columns.indexOf(name) !== i);
  if (twice !== undefined) throw new RangeError(`${file}, row ${line}: field "${twice}" appears twice`);
  return columns;
}

function rowOf(fields: string[], columns: readonly string[], file: string, line: number): CsvRow {
  if (fields.length !== columns.length) {
    throw new RangeError(
      `${file}, row ${line}: ${fields.length} fields, but the header has ${columns.length}`,
    );
  }
  const place = (field: string) => `${file}, row ${line}, field "${field}"`;
  const optionalText = (field: string): string => {
    const column = columns.indexOf(field);
    if (column < 0) throw new RangeError(`${place(field)}: no such field; known: ${columns.join(", ")}`);
    return fields[column];
  };
  const optionalNumber = (field: string): number | undefined => {
    const text = optionalText(field);
    if (text === "") return undefined;
    const value = Number(text);
    if (!Number.isFinite(value)) throw new RangeError(`${place(field)}: "${text}" is not a number`);
    return value;
  };
  const text = (field: string): string => {
    const value = optionalText(field);
    if (value === "") throw new RangeError(`${place(field)}: is empty`);
    return value;
  };
  const number = (field: string): number => {
    const value = optionalNumber(field);
    if (value === undefined) throw new RangeError(`${place(field)}: is empty`);
    return value;
  };
  return { line, text, number, optionalText, optionalNumber };
}

function splitFields(content: string, file: string, line: number): string[] {
  const fields: string[] = [];
  let rest = content;
  for (;;) {
    // A quoted field with doubled quotes inside, or anything up to the next comma.
    const match = /^\s*"((?:[^"]|"")*)"\s*(,|$)|^([^",]*)(,|$)/.exec(rest);
    if (match === null) {
      throw new RangeError(
        `${file}, row ${line}, field ${fields.length + 1}: a quotation mark is out of place`,
      );
    }
    fields.push(match[1] === undefined ? match[3].trim() : match[1].replaceAll('""', '"'));
    if ((match[2] ?? match[4]) === "") return fields;
    rest = rest.slice(match[0].length);
  }
}
