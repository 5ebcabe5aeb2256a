import { resampleToGrid } from "../colour/resample.ts";
import type { DrawdownRow } from "./drawdownRows.ts";
import { SpectrumFileError } from "./spectrumFileError.ts";

/** The mean of the repeats of one reading, on the working grid. */
export interface DrawdownCurve {
  readonly ground: string;
  readonly specular: "included" | "excluded";
  readonly reflectance: Float64Array;
  /** standard deviation of the repeats at each wavelength; 0 for a single reading */
  readonly spread: Float64Array;
  readonly repeats: number;
  /** the repeats themselves where there are several, so that nothing is lost in the mean */
  readonly singles: readonly Float64Array[];
  /** rows of the file */
  readonly rows: readonly number[];
}

/** How the thickness of a film was told: value in µm, or in any unit for "amount". */
export type FilmThickness =
  | {
      readonly kind: "stated";
      readonly basis: "dry" | "wet" | "gap" | "amount";
      readonly value: number;
      readonly errorPercent?: number;
    }
  | { readonly kind: "unknown" }
  | { readonly kind: "opaque" };

/** One film with all its readings: curves, or colours. */
export interface DrawdownFilm<Reading = DrawdownCurve> {
  readonly label: string;
  readonly basis: "volume" | "mass" | "dry volume";
  /** paste first, then the components of the file */
  readonly amounts: readonly number[];
  readonly thickness: FilmThickness;
  readonly readings: readonly Reading[];
}

/** The uncoated card. */
export type DrawdownGround = DrawdownCurve;

/**
 * Gathers rows into films and bare grounds.
 *
 * @param readingsOf makes the readings of one film from its rows, such as the means of repeats
 * @throws SpectrumFileError naming both rows when one label stands for two films
 */
export function gatherFilms<Reading>(
  rows: readonly DrawdownRow[],
  fileName: string,
  notes: string[],
  readingsOf: (rows: readonly DrawdownRow[]) => Reading[],
): { films: DrawdownFilm<Reading>[]; bare: Reading[] } {
  const groups = new Map<string, DrawdownRow[]>();
  const bareRows: DrawdownRow[] = [];
  for (const row of rows) {
    if (row.bare) bareRows.push(row);
    else pushTo(groups, row.label, row);
  }
  const ranges = new Set(rows.map(({ wavelengths }) => wavelengths.join()));
  if (ranges.size > 1)
    notes.push("the rows have readings at different wavelengths; each was brought to the working grid");
  const films = [...groups.values()].map((group): DrawdownFilm<Reading> => {
    const [first] = group;
    for (const row of group) refuseContradiction(first, row, fileName);
    const { thickness } = first;
    return {
      label: first.label,
      basis: first.basis,
      amounts: first.amounts,
      thickness:
        typeof thickness === "object"
          ? { kind: "stated", ...thickness, errorPercent: first.errorPercent }
          : { kind: thickness },
      readings: readingsOf(group),
    };
  });
  if (films.length === 0) {
    throw new SpectrumFileError(fileName, "there are only bare grounds", "Add the readings of the drawdowns");
  }
  return { films, bare: readingsOf(bareRows) };
}

function pushTo(groups: Map<string, DrawdownRow[]>, key: string, row: DrawdownRow): void {
  const group = groups.get(key);
  if (group) group.push(row);
  else groups.set(key, [row]);
}

/** One label is one film: amounts, basis and thickness must agree. */
function refuseContradiction(first: DrawdownRow, row: DrawdownRow, fileName: string): void {
  const of = ({ amounts, basis, thickness, errorPercent }: DrawdownRow) => ({
    amounts: `${amounts.join(" : ")} by ${basis}`,
    thickness: typeof thickness === "object" ? `${thickness.basis} ${thickness.value}` : thickness,
    "error of the thickness": errorPercent === undefined ? "none" : `${errorPercent} %`,
  });
  const [a, b] = [of(first), of(row)];
  for (const field of Object.keys(a) as (keyof typeof a)[]) {
    if (a[field] === b[field]) continue;
    throw new SpectrumFileError(
      fileName,
      `"${row.label}" is one film, but its ${field} differ: ${a[field]} in row ${first.row}, ${b[field]} here`,
      "Correct one of the rows, or give the films different labels",
      row.row,
      "label",
    );
  }
}

/** Readings of one film on the working grid; those over one ground in one mode are averaged. @throws SpectrumFileError */
export function meanCurves(rows: readonly DrawdownRow[], fileName: string, notes: string[]): DrawdownCurve[] {
  const groups = new Map<string, DrawdownRow[]>();
  for (const row of rows) {
    const key = `${row.ground.toLowerCase()} ${row.specular}`;
    pushTo(groups, key, row);
  }
  return [...groups.values()].map((group) => {
    const curves = group.map((row) => onGrid(row, fileName, notes));
    const n = curves[0].length;
    const reflectance = new Float64Array(n);
    const spread = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      let sum = 0;
      for (const curve of curves) sum += curve[i];
      reflectance[i] = sum / curves.length;
      let squares = 0;
      for (const curve of curves) squares += (curve[i] - reflectance[i]) ** 2;
      spread[i] = curves.length > 1 ? Math.sqrt(squares / (curves.length - 1)) : 0;
    }
    const { ground, specular } = group[0];
    return {
      ground,
      specular,
      reflectance,
      spread,
      repeats: group.length,
      singles: curves.length > 1 ? curves : [],
      rows: group.map(({ row }) => row),
    };
  });
}

function onGrid(row: DrawdownRow, fileName: string, notes: string[]): Float64Array {
  try {
    const { values, notes: told } = resampleToGrid(row.wavelengths, row.values);
    notes.push(...told);
    return values;
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new SpectrumFileError(
      fileName,
      error.message,
      "Export the whole spectrum, at best 380 to 730 nm by 10 nm",
      row.row,
    );
  }
}
