/**
 * Films of a whole shelf as CSV: the layout of drawdownFile.ts, widened.
 *
 * - `amount of NAME`: any names, up to 40; `amount of paste` is not needed.
 * - wavelengths and `L*, a*, b*` may stand beside each other; each row fills in one of the two, or neither where it is
 *   only to be predicted. `lab_error` is the 1σ of a colour (1 when left out).
 * - `over`: label of a film that lies below; the ground is then what lies under that one.
 * - `coats`: number of equal coats, each of the thickness told (1 when left out).
 * - `date`, `batch`, `habit`: taken over as they stand. `light`: light of a colour (that of the command when left out).
 * - `set_aside`: anything in it, such as the reason, keeps the row from being learnt from.
 */

import { SpectrumFileError } from "./spectrumFileError.ts";
import { wavelengthOf } from "./spectrumFileForms.ts";
import { type CellRow, numberOf, readCells } from "./spectrumFileText.ts";

/** Limits of a file of films. */
const limits = {
  characters: 20 * 1024 * 1024,
  rows: 5000,
  components: 40,
  reading: [-0.05, 1.3],
  thickness: [0.01, 10_000],
  name: 200,
} as const;

const words = [
  "label",
  "ground",
  "specular",
  "basis",
  "error_percent",
  "lab_error",
  "over",
  "coats",
  "date",
  "batch",
  "habit",
  "light",
  "set_aside",
] as const;
const thicknesses = { dry_um: "dry", wet_um: "wet", gap_um: "gap", amount: "amount" } as const;

/** A row of the file: a bare ground, or a film over something. */
export interface ShelfRow {
  readonly row: number;
  readonly label: string;
  readonly bare: boolean;
  readonly ground: string;
  readonly over: string;
  readonly specular: "included" | "excluded";
  readonly basis: "volume" | "mass" | "dry volume";
  /** of the components of the file, in their order */
  readonly amounts: readonly number[];
  readonly thickness:
    | { readonly basis: "dry" | "wet" | "gap" | "amount"; readonly value: number }
    | "unknown"
    | "opaque";
  readonly errorPercent?: number;
  readonly coats: number;
  readonly light: string;
  readonly setAside: string;
  readonly wavelengths: readonly number[];
  readonly values: readonly number[];
  readonly Lab?: readonly [number, number, number];
  readonly labError: number;
}

/** A file of films as it stands. */
export interface ShelfFile {
  readonly file: string;
  readonly components: readonly string[];
  readonly rows: readonly ShelfRow[];
  readonly notes: readonly string[];
}

interface Columns {
  readonly header: readonly string[];
  readonly place: ReadonlyMap<string, number>;
  readonly thickness: readonly { basis: "dry" | "wet" | "gap" | "amount"; column: number }[];
  readonly amounts: readonly { name: string; column: number }[];
  readonly wavelengths: readonly { nm: number; column: number }[];
}

/**
 * Reads a file of films.
 *
 * @throws SpectrumFileError that names file, row and field, the allowed range and a way out
 */
export function readShelfFile(text: string, fileName: string): ShelfFile {
  const fault = (problem: string, wayOut: string) => new SpectrumFileError(fileName, problem, wayOut);
  if (text.length > limits.characters) throw fault("the file is larger than 20 MB", "Split it");
  const notes: string[] = [];
  const [header, ...body] = readCells(text, fileName, notes);
  const columns = columnsOf(header, fileName);
  if (body.length === 0) throw fault("there are no rows below the heading", "Add a row for each reading");
  if (body.length > limits.rows) {
    throw fault(`there are ${body.length} rows; at most ${limits.rows} can be read`, "Split the file");
  }
  const scale = scaleOf(body, columns, notes);
  const rows = body.map((row) => rowOf(row, columns, scale, fileName, notes));
  return {
    file: fileName,
    components: columns.amounts.map(({ name }) => name),
    rows,
    notes: [...new Set(notes)],
  };
}

function columnsOf({ row, cells: header }: CellRow, fileName: string): Columns {
  const fault = (problem: string, wayOut: string, field?: string) =>
    new SpectrumFileError(fileName, problem, wayOut, row, field);
  const place = new Map<string, number>();
  const thickness: { basis: "dry" | "wet" | "gap" | "amount"; column: number }[] = [];
  const amounts: { name: string; column: number }[] = [];
  const wavelengths: { nm: number; column: number }[] = [];
  const seen = new Set<string>();
  header.forEach((heading, column) => {
    const name = heading.toLowerCase();
    const nm = wavelengthOf(heading);
    const key = nm === undefined ? name : `${nm} nm`;
    if (seen.has(key)) throw fault(`the column "${heading}" appears twice`, "Keep one of the two", heading);
    seen.add(key);
    if (nm !== undefined) {
      const before = wavelengths[wavelengths.length - 1]?.nm;
      if (before !== undefined && nm < before) {
        throw fault(
          `the wavelength ${nm} nm comes after ${before} nm`,
          "Sort the wavelengths from short to long",
          heading,
        );
      }
      wavelengths.push({ nm, column });
    } else if ((words as readonly string[]).includes(name)) place.set(name, column);
    else if (Object.hasOwn(thicknesses, name)) {
      thickness.push({ basis: thicknesses[name as keyof typeof thicknesses], column });
    } else if (name.startsWith("amount of ")) {
      const component = heading.slice("amount of ".length).trim();
      if (component === "" || component.length > limits.name) {
        throw fault(
          `the name of a component has ${component.length} signs`,
          `Use 1 to ${limits.name} signs`,
          heading,
        );
      }
      amounts.push({ name: component, column });
    } else if (/^(?:L|a|b)\*?$/.test(heading)) place.set(`${heading[0]}*`, column);
    else {
      throw fault(
        `the column "${heading}" is not known`,
        `Known are ${words.join(", ")}, amount of NAME, ${Object.keys(thicknesses).join(", ")}, wavelengths in nm, and L*, a*, b*; start lines of other text with #`,
        heading,
      );
    }
  });
  const colours = ["L*", "a*", "b*"].filter((name) => place.has(name)).length;
  if (colours % 3 !== 0)
    throw fault("a colour needs all of L*, a* and b*", "Add the columns that are missing");
  // Without columns of amounts every film is the paste alone, as in a file of drawdowns.
  if (amounts.length === 0) amounts.push({ name: "paste", column: -1 });
  if (amounts.length > limits.components) {
    throw fault(
      `there are ${amounts.length} components; at most ${limits.components} can be read`,
      "Leave out those that were not used",
    );
  }
  if (thickness.length > 1 && thickness.some(({ basis }) => basis === "amount")) {
    throw fault(
      'there are both "amount" and a thickness in µm',
      "Keep one of them, in one unit for all films",
    );
  }
  return { header, place, thickness, amounts, wavelengths };
}

/** 100 when most of the readings are too large for fractions. */
function scaleOf(body: readonly CellRow[], { wavelengths }: Columns, notes: string[]): number {
  const all = Float64Array.from(
    body.flatMap(({ cells }) => wavelengths.map(({ column }) => numberOf(cells[column]) ?? Number.NaN)),
  ).filter((value) => !Number.isNaN(value));
  if (all.length === 0) return 1;
  all.sort();
  if (all[all.length >> 1] <= 1.5) return 1;
  notes.push("readings taken as per cent and divided by 100, because most are above 1.5");
  return 100;
}

/** A row of the file; in one piece because every complaint names the row and the column that it comes from. */
function rowOf(
  { row, cells }: CellRow,
  columns: Columns,
  scale: number,
  fileName: string,
  notes: string[],
): ShelfRow {
  const { place, header } = columns;
  const fault = (problem: string, wayOut: string, column: number) =>
    new SpectrumFileError(fileName, problem, wayOut, row, header[column]);
  const at = (name: string): number => place.get(name) ?? -1;
  const text = (name: string): string => (at(name) < 0 ? "" : cells[at(name)]);
  const number = (column: number, least: number, most: number): number | undefined => {
    if (column < 0 || cells[column] === "") return undefined;
    const value = numberOf(cells[column]);
    const allowed = `${least} to ${most}`;
    if (value === undefined) {
      throw fault(
        `"${cells[column].slice(0, 40)}" is not a number`,
        `Give a number from ${allowed}, or leave it empty`,
        column,
      );
    }
    if (value < least || value > most) {
      throw fault(`${value} is outside the allowed range ${allowed}`, "Correct it or leave it empty", column);
    }
    return value;
  };
  const choice = <T extends string>(name: string, allowed: readonly T[], usual: T): T => {
    const word = text(name).toLowerCase();
    if (word === "") return usual;
    const found = allowed.find((one) => one === word);
    if (!found)
      throw fault(`"${text(name).slice(0, 40)}" is not known`, `Write ${allowed.join(" or ")}`, at(name));
    return found;
  };
  const thickness = thicknessOf(columns, cells, number, fault);
  const nothing = typeof thickness === "object" && thickness.basis === "amount" && thickness.value === 0;
  const label = text("label").slice(0, limits.name) || (place.has("label") ? "" : `row ${row}`);
  if (label === "") throw fault("the label is empty", "Name the film", at("label"));
  const bare = label.toLowerCase() === "bare" || nothing;
  const amounts = columns.amounts.map(({ column }) => (column < 0 ? 1 : (number(column, 0, 1e9) ?? 0)));
  if (!bare && amounts.every((amount) => amount === 0)) {
    const wayOut = 'Fill in the amounts (above 0), or call the row "bare"';
    throw fault("nothing was poured: all amounts are 0 or empty", wayOut, columns.amounts[0].column);
  }
  const wavelengths: number[] = [];
  const values: number[] = [];
  const [least, most] = limits.reading;
  for (const { nm, column } of columns.wavelengths) {
    const value = number(column, least * scale, most * scale);
    if (value === undefined) continue;
    wavelengths.push(nm);
    values.push(value / scale);
  }
  const colour = (["L*", "a*", "b*"] as const).map((name, k) =>
    number(at(name), k === 0 ? 0 : -128, k === 0 ? 100 : 128),
  );
  const given = colour.filter((value) => value !== undefined).length;
  if (given % 3 !== 0) {
    const missing = (["L*", "a*", "b*"] as const)[colour.indexOf(undefined)];
    throw fault("the colour is not complete", "Give L*, a* and b*, or none of them", at(missing));
  }
  if (given > 0 && values.length > 0)
    notes.push("L*, a*, b* were passed over where there is a spectrum: it says more");
  return {
    row,
    label: bare ? "bare" : label,
    bare,
    amounts,
    thickness,
    wavelengths,
    values,
    ground: text("ground").slice(0, 100) || "ground",
    over: text("over").slice(0, limits.name),
    specular: choice("specular", ["included", "excluded"], "included"),
    basis: choice("basis", ["volume", "mass", "dry volume"], "volume"),
    errorPercent: number(at("error_percent"), 0.01, 300),
    coats: number(at("coats"), 1, 30) ?? 1,
    light: text("light"),
    setAside: text("set_aside").slice(0, limits.name),
    Lab: given > 0 && values.length === 0 ? (colour as [number, number, number]) : undefined,
    labError: number(at("lab_error"), 0.01, 50) ?? 1,
  };
}

function thicknessOf(
  columns: Columns,
  cells: readonly string[],
  number: (column: number, least: number, most: number) => number | undefined,
  fault: (problem: string, wayOut: string, column: number) => Error,
): ShelfRow["thickness"] {
  const filled = columns.thickness.filter(({ column }) => cells[column] !== "");
  if (filled.length === 0) return "unknown";
  const [{ basis, column }] = filled;
  if (filled.length > 1) {
    const names = filled.map((one) => columns.header[one.column]).join(" and ");
    throw fault(`both ${names} are filled in`, "Keep the one that was measured", filled[1].column);
  }
  if (cells[column].toLowerCase() === "opaque") return "opaque";
  const [least, most] = limits.thickness;
  const value = number(column, basis === "amount" ? 0 : least, basis === "amount" ? 1e9 : most);
  return { basis, value: value as number };
}
