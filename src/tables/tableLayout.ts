import { bareNumber } from "./tableNumbers.ts";

/** What a row or a column of a table is taken for. */
export type LineRole = "wavelengths" | "names" | "readings" | "units" | "title" | "left out" | "empty";

/** What a person says of rows (by their number in the file) and columns (from 0), where it is not as it was taken. */
export interface LayoutAnswers {
  readonly rows?: Readonly<Record<number, LineRole>>;
  readonly columns?: Readonly<Record<number, LineRole>>;
  /** columns of the table it was said of; of a table with another number it says nothing */
  readonly width?: number;
}

/** A row of a table as it stands in the file. */
export interface TableRow {
  /** in the file, counted from 1 */
  readonly row: number;
  readonly cells: readonly string[];
}

/** Which row is what, and which column. */
export interface TableLayout {
  readonly direction: "down" | "across" | "colours";
  /** in the order of the rows that were looked at */
  readonly rows: readonly LineRole[];
  readonly columns: readonly LineRole[];
  /** place of the heading row among the rows, −1 where there is none */
  readonly head: number;
  /** column of the wavelengths, or the first of them along the heading row; −1 where there are none */
  readonly axis: number;
}

/** Fewer make no spectrum. */
const fewest = 8;
/** Title lines are no more than this, and wavelengths do not start further right. */
const looked = { rows: 200, columns: 60 } as const;

/** Units as they stand alone in a cell. Others than nm and those of reflectance are refused by whoever reads on. */
const unitWord =
  /^[[(]?\s?(?:nm|nanomet(?:er|re)s?|%|per ?cent|pct|fractions?|1|0\s?(?:to|-|–|\.\.|…)\s?1|-|–|—|[µμu]m|Å|A|1\/cm|cm\^?[-−]1|cm⁻¹)\s?[\])]?$/i;

/** Whether a cell holds a unit and nothing else. */
export function isUnit(cell: string): boolean {
  return cell.length <= 20 && unitWord.test(cell);
}

/** A wavelength in nm in any way of writing numbers; undefined for anything else. */
function waveIn(cell: string): number | undefined {
  if (cell.length > 40) return undefined;
  const bare = bareNumber(cell.slice(-2).toLowerCase() === "nm" ? cell.slice(0, -2).trimEnd() : cell);
  if (!/^\d[\d.,]*$/.test(bare)) return undefined;
  for (const text of [bare, bare.replace(",", "."), bare.replace(/[.,](?=\d{3}(?!\d))/g, "")]) {
    const value = Number(text);
    if (isWavelength(value)) return value;
  }
  return undefined;
}

/** Whether a number can be a wavelength in nm of an instrument that measures colour. */
export function isWavelength(value: number): boolean {
  return value >= 200 && value <= 2600;
}

/**
 * Finds out where in a table the wavelengths, the names and the readings stand, and what is title, unit, or nothing.
 *
 * @param rows all but comments, empty ones too
 * @param isHead whether a row is a heading of its own kind, such as L*, a*, b*
 * @param sparse readings may be missing: a row or column with a heading only stays
 * @returns undefined where nothing of a table is found
 */
export function layoutOf(
  rows: readonly TableRow[],
  answers: LayoutAnswers = {},
  isHead: (cells: readonly string[]) => boolean = () => false,
  sparse = false,
): TableLayout | undefined {
  const width = rows.reduce((most, { cells }) => Math.max(most, cells.length), 0);
  const own = answers.width === undefined || answers.width === width ? answers : {};
  const said = { rows: own.rows ?? {}, columns: own.columns ?? {} };
  const isOut = (k: number) => said.rows[rows[k].row] === "left out" || isEmpty(rows[k].cells);
  const inside = rows.map((_, k) => k).filter((k) => !isOut(k));
  const place = placeOf(rows, inside, width, said, isHead);
  if (!place) return undefined;
  const { direction, head, axis, body, units } = place;
  const roles: LineRole[] = rows.map(({ row, cells }, k) => {
    if (isEmpty(cells)) return "empty";
    if (said.rows[row] === "left out") return "left out";
    if (k === head) return direction === "across" ? "wavelengths" : "names";
    if (k === units) return "units";
    return k < body ? "title" : "readings";
  });
  const below = inside.filter((k) => k !== head && k >= body);
  const filledIn = filledColumns(rows, below, width);
  const columns = Array.from({ length: width }, (_, c): LineRole => {
    if (said.columns[c] === "left out") return "left out";
    const filled = filledIn[c] === 1;
    if (!filled && (head < 0 || (rows[head].cells[c] ?? "") === "")) return "empty";
    if (direction === "down") {
      if (c === axis) return "wavelengths";
      return filled || sparse ? "readings" : "left out";
    }
    // The columns before the wavelengths of a sparse table hold amounts and thicknesses.
    if (direction === "colours" || c >= axis || sparse) return "readings";
    if (said.columns[c] !== undefined) return said.columns[c];
    return below.length > 0 && filled && below.every((k) => isUnit(rows[k].cells[c] ?? ""))
      ? "units"
      : "names";
  });
  // A row with a name and nothing behind it was not measured.
  if (direction === "across" && !sparse) {
    for (const k of below) {
      if (rows[k].cells.every((cell, c) => columns[c] !== "readings" || cell === "")) roles[k] = "left out";
    }
  }
  return { direction, head, axis, rows: roles, columns };
}

/** 1 for a column that has something in one of the rows. */
function filledColumns(rows: readonly TableRow[], of: readonly number[], width: number): Uint8Array {
  const filled = new Uint8Array(width);
  for (const k of of) {
    const { cells } = rows[k];
    for (let c = 0; c < cells.length; c++) if (cells[c] !== "") filled[c] = 1;
  }
  return filled;
}

/**
 * Rows (their places) and columns taken for readings or wavelengths that hold something else: these are refused, and most
 * often to be left out.
 */
export function oddLines(
  rows: readonly TableRow[],
  layout: TableLayout,
): { rows: number[]; columns: number[] } {
  const { direction, head, axis } = layout;
  const odd = { rows: new Set<number>(), columns: new Set<number>() };
  if (direction === "colours") return { rows: [], columns: [] };
  rows.forEach(({ cells }, k) => {
    const isAlong = direction === "across" && k === head;
    if (!isAlong && layout.rows[k] !== "readings") return;
    const wrong = cells.flatMap((cell, c) => {
      const role = layout.columns[c];
      const isWave = isAlong ? c >= axis : role === "wavelengths";
      if (role === "left out" || role === "empty") return [];
      return (isWave && waveIn(cell) === undefined) ||
        (role === "readings" && !isAlong && !isNumberLike(cell))
        ? [c]
        : [];
    });
    if (wrong.length === 0) return;
    if (!isAlong) odd.rows.add(k);
    for (const c of wrong) odd.columns.add(c);
  });
  return { rows: [...odd.rows], columns: [...odd.columns] };
}

const isEmpty = (cells: readonly string[]): boolean => cells.every((cell) => cell === "");

interface Place {
  readonly direction: TableLayout["direction"];
  readonly head: number;
  readonly axis: number;
  /** first row below head and units */
  readonly body: number;
  readonly units: number;
}

function placeOf(
  rows: readonly TableRow[],
  inside: readonly number[],
  width: number,
  said: Required<Omit<LayoutAnswers, "width">>,
  isHead: (cells: readonly string[]) => boolean,
): Place | undefined {
  const first = inside.slice(0, looked.rows);
  const told = (what: LineRole) => inside.find((k) => said.rows[rows[k].row] === what);
  const toldColumn = Object.keys(said.columns).find((c) => said.columns[Number(c)] === "wavelengths");
  const along =
    told("wavelengths") ??
    first.find((k) => rows[k].cells.filter((cell) => waveIn(cell) !== undefined).length >= fewest);
  const own = first.find((k) => isHead(rows[k].cells));
  if (own !== undefined && (along === undefined || own <= along) && toldColumn === undefined) {
    const axis = rows[own].cells.findIndex((cell) => waveIn(cell) !== undefined);
    return under(rows, inside, own, along === own && axis >= 0 ? "across" : "colours", axis);
  }
  const down =
    toldColumn !== undefined
      ? { column: Number(toldColumn), start: firstWave(rows, inside, Number(toldColumn)) }
      : told("wavelengths") === undefined
        ? runDown(rows, inside, width)
        : undefined;
  if (along !== undefined && (!down || (along < down.start && toldColumn === undefined))) {
    const axis = rows[along].cells.findIndex((cell) => waveIn(cell) !== undefined);
    return under(rows, inside, along, down ? "down" : "across", down ? down.column : axis);
  }
  if (!down || down.start < 0) return undefined;
  return above(rows, inside, down.column, down.start, told("names"));
}

function firstWave(rows: readonly TableRow[], inside: readonly number[], column: number): number {
  return inside.find((k) => waveIn(rows[k].cells[column] ?? "") !== undefined) ?? -1;
}

/**
 * The first column with wavelengths one under another, and the row where they start: the first with a reading beside it,
 * so that a row with a mistyped wavelength is no title.
 */
function runDown(
  rows: readonly TableRow[],
  inside: readonly number[],
  width: number,
): { column: number; start: number } | undefined {
  for (let column = 0; column < Math.min(width, looked.columns); column++) {
    let run = 0;
    for (let i = 0; i < inside.length; i++) {
      run = waveIn(rows[inside[i]].cells[column] ?? "") === undefined ? 0 : run + 1;
      if (run === fewest) {
        const start = inside.find((k) => {
          const { cells } = rows[k];
          return (
            waveIn(cells[column] ?? "") !== undefined &&
            cells.some((cell, c) => c !== column && isNumberLike(cell))
          );
        });
        return { column, start: Math.min(start ?? Infinity, inside[i - fewest + 1]) };
      }
      if (run === 0 && i > looked.rows) break;
    }
  }
  return undefined;
}

/** Whether a cell holds a number in any way of writing, perhaps with its %. */
function isNumberLike(cell: string): boolean {
  return (
    cell.length <= 40 && /^[+\-−–]?[.,]?\d[\d.,'’ \u00a0\u2009\u202f]*(?:[eE][+-]?\d{1,3})?\s?%?$/.test(cell)
  );
}

/** A heading row, with units perhaps in the row below it. */
function under(
  rows: readonly TableRow[],
  inside: readonly number[],
  head: number,
  direction: Place["direction"],
  axis: number,
): Place {
  const next = inside[inside.indexOf(head) + 1];
  const isUnits = next !== undefined && unitsAlone(rows[next].cells);
  return { direction, head, axis, units: isUnits ? next : -1, body: isUnits ? next + 1 : head + 1 };
}

/** The names above readings that start in a row, with units perhaps between. */
function above(
  rows: readonly TableRow[],
  inside: readonly number[],
  axis: number,
  start: number,
  told: number | undefined,
): Place {
  const body = inside.slice(inside.indexOf(start));
  const before = inside.slice(0, inside.indexOf(start)).reverse();
  const width = rows[start].cells.length;
  const columns = Array.from({ length: width }, (_, c) => c).filter(
    (c) => c !== axis && body.some((k) => (rows[k].cells[c] ?? "") !== ""),
  );
  const named = (k: number | undefined): k is number =>
    k !== undefined && 2 * columns.filter((c) => (rows[k].cells[c] ?? "") !== "").length >= columns.length;
  const place = (head: number, units: number): Place => ({
    direction: "down",
    head,
    axis,
    body: start,
    units,
  });
  if (told !== undefined && told < start) {
    const units = before.find((k) => k > told && unitsAlone(rows[k].cells));
    return place(told, units ?? -1);
  }
  const [nearest, next] = before;
  if (nearest !== undefined && unitsAlone(rows[nearest].cells) && named(next)) return place(next, nearest);
  // A row with numbers below a row of names is a reading whose wavelength cannot be read: it is refused where it stands.
  if (named(nearest) && named(next) && columns.some((c) => isNumberLike(rows[nearest].cells[c] ?? ""))) {
    return { direction: "down", head: next, axis, body: nearest, units: -1 };
  }
  return place(named(nearest) ? nearest : -1, -1);
}

function unitsAlone(cells: readonly string[]): boolean {
  const filled = cells.filter((cell) => cell !== "");
  return filled.length > 0 && filled.every(isUnit) && filled.some((cell) => !/^[-–—1]$/.test(cell));
}
