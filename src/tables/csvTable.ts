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
  let places: ReadonlyMap<string, number> = new Map();
  const lines = text.split(/\r?\n/);
  lines.forEach((content, index) => {
    const line = index + 1;
    if (content.startsWith("#") && columns === undefined) comments.push(content.slice(1).trim());
    else if (content.trim() === "" || content.startsWith("#")) return;
    else if (columns === undefined) {
      columns = splitFields(content, file, line);
      places = placesOf(columns, file, line);
    } else rows.push(rowOf(splitFields(content, file, line), columns, places, file, line));
  });
  if (columns === undefined) throw new RangeError(`${file}: no header row`);
  if (rows.length === 0) throw new RangeError(`${file}: no rows below the header`);
  return Object.freeze({ file, comments, columns, rows });
}

/** One column as numbers. @throws RangeError naming file, row and field */
export function numberColumn(table: CsvTable, field: string): Float64Array {
  return Float64Array.from(table.rows, (row) => row.number(field));
}

function placesOf(columns: readonly string[], file: string, line: number): ReadonlyMap<string, number> {
  const places = new Map<string, number>();
  columns.forEach((name, column) => {
    if (places.has(name)) throw new RangeError(`${file}, row ${line}: field "${name}" appears twice`);
    places.set(name, column);
  });
  return places;
}

function rowOf(
  fields: string[],
  columns: readonly string[],
  places: ReadonlyMap<string, number>,
  file: string,
  line: number,
): CsvRow {
  if (fields.length !== columns.length) {
    throw new RangeError(
      `${file}, row ${line}: ${fields.length} fields, but the header has ${columns.length}`,
    );
  }
  const place = (field: string) => `${file}, row ${line}, field "${field}"`;
  const optionalText = (field: string): string => {
    const column = places.get(field);
    if (column === undefined)
      throw new RangeError(`${place(field)}: no such field; known: ${columns.join(", ")}`);
    return fields[column];
  };
  const optionalNumber = (field: string): number | undefined => {
    const text = optionalText(field);
    if (text === "") return undefined;
    // Decimal numbers only: "0x1F" would be 31.
    const value = /^[+-]?0[box]/i.test(text) ? Number.NaN : Number(text);
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
  const outOfPlace = () =>
    new RangeError(`${file}, row ${line}, field ${fields.length + 1}: a quotation mark is out of place`);
  // Sign by sign: no pattern that could run away, or run out of room, on a long line.
  for (let at = 0; at <= content.length; at++) {
    const start = firstSign(content, at);
    if (content[start] === '"') {
      const [field, behind] = quotedField(content, start);
      if (behind < 0) throw outOfPlace();
      at = firstSign(content, behind);
      if (at < content.length && content[at] !== ",") throw outOfPlace();
      fields.push(field);
    } else {
      const comma = content.indexOf(",", at);
      const field = content.slice(at, comma < 0 ? content.length : comma);
      if (field.includes('"')) throw outOfPlace();
      fields.push(field.trim());
      at += field.length;
    }
  }
  return fields;
}

/** The first place from `at` on where no blank stands. */
function firstSign(content: string, at: number): number {
  let place = at;
  for (; place < content.length && content[place].trim() === ""; place++);
  return place;
}

/** A field between quotation marks and the place behind it, −1 when it does not end. */
function quotedField(content: string, start: number): [field: string, behind: number] {
  let field = "";
  for (let from = start + 1; from <= content.length; from++) {
    const mark = content.indexOf('"', from);
    if (mark < 0) break;
    field += content.slice(from, mark);
    if (content[mark + 1] !== '"') return [field, mark + 1];
    field += '"';
    from = mark + 1;
  }
  return ["", -1];
}
