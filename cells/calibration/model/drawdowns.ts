import * as v from "valibot";
import type { MeasuredDrawdowns } from "../../../src/calibration/fromTable.ts";
import { workingGrid } from "../../../src/colour/grid.ts";
import type { DrawdownColours } from "../../../src/tables/drawdownColours.ts";
import { type DrawdownFile, drawdownFileLimits } from "../../../src/tables/drawdownFile.ts";

const { rows, thickness: range, components: mostComponents, lightness, axis } = drawdownFileLimits;

const text = v.pipe(v.string(), v.maxLength(200));
const number = v.pipe(v.number(), v.finite());
const curve = v.pipe(v.array(number), v.length(workingGrid.length));
const specular = v.picklist(["included", "excluded"]);

const curveReading = v.strictObject({
  ground: text,
  specular,
  reflectance: curve,
  spread: curve,
  repeats: v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(rows)),
  /** The repeats themselves, where there are several. */
  singles: v.optional(v.pipe(v.array(curve), v.maxLength(rows))),
});
export type KeptReading = v.InferOutput<typeof curveReading>;

const coordinate = (least: number, most: number) => {
  const allowed = `${least} to ${most} is allowed`;
  return v.pipe(v.number(), v.minValue(least, allowed), v.maxValue(most, allowed));
};
const colourReading = v.strictObject({
  ground: text,
  specular,
  Lab: v.tuple([coordinate(0, lightness), coordinate(-axis, axis), coordinate(-axis, axis)]),
});
export type KeptColour = v.InferOutput<typeof colourReading>;

const thickness = v.union([
  v.strictObject({
    kind: v.literal("stated"),
    basis: v.picklist(["dry", "wet", "gap", "amount"]),
    value: v.pipe(
      v.number(),
      v.minValue(range.least, `${range.least} to ${range.most} is allowed`),
      v.maxValue(1e9, "at most 1e9 is allowed"),
    ),
    errorPercent: v.optional(
      v.pipe(
        v.number(),
        v.minValue(0.01, "0.01 to 300 % is allowed"),
        v.maxValue(300, "0.01 to 300 % is allowed"),
      ),
    ),
  }),
  v.strictObject({ kind: v.literal("unknown") }),
  v.strictObject({ kind: v.literal("opaque") }),
]);
export type KeptThickness = v.InferOutput<typeof thickness>;

const tableSchema = <Reading extends v.GenericSchema>(reading: Reading) =>
  v.strictObject({
    file: text,
    components: v.pipe(v.array(text), v.maxLength(mostComponents - 1)),
    films: v.pipe(
      v.array(
        v.strictObject({
          label: text,
          /** false = left out by the person */
          use: v.boolean(),
          /** used even when it contradicts the others */
          always: v.optional(v.boolean()),
          basis: v.picklist(["volume", "mass", "dry volume"]),
          amounts: v.pipe(
            v.array(v.pipe(number, v.minValue(0, "an amount of at least 0 is allowed"))),
            v.maxLength(mostComponents),
          ),
          thickness,
          readings: v.pipe(v.array(reading), v.maxLength(100)),
        }),
      ),
      v.maxLength(rows),
    ),
    bare: v.pipe(v.array(reading), v.maxLength(100)),
    notes: v.pipe(v.array(v.string()), v.maxLength(mostNotes)),
  });

const mostNotes = 100;

/** Drawdowns as kept inside a notebook, on the working grid, so that the calibration can be computed again. */
export const keptDrawdownsSchema = tableSchema(curveReading);
export type KeptDrawdowns = KeptTable<KeptReading>;

/** The same where only colours are known. */
export const keptColoursSchema = tableSchema(colourReading);
export type KeptColours = KeptTable<KeptColour>;

export interface KeptFilm<Reading> {
  label: string;
  use: boolean;
  always?: boolean;
  basis: "volume" | "mass" | "dry volume";
  /** paste first, then the components of the table */
  amounts: number[];
  thickness: KeptThickness;
  readings: Reading[];
}

export interface KeptTable<Reading> {
  file: string;
  components: string[];
  films: KeptFilm<Reading>[];
  bare: Reading[];
  notes: string[];
}

const sides = v.strictObject({ low: curve, high: curve });
/** Bands from refits, with what tells whether they still belong to the result. */
export const keptBandsSchema = v.strictObject({ absorption: sides, scattering: sides, fits: v.string() });
export type KeptBands = v.InferOutput<typeof keptBandsSchema>;

/** A reading in the form kept: six decimals are far below any instrument's noise. */
export function keptReading(measured: {
  readonly ground: string;
  readonly specular: "included" | "excluded";
  readonly reflectance: ArrayLike<number>;
  readonly spread: ArrayLike<number>;
  readonly repeats: number;
  readonly singles: readonly ArrayLike<number>[];
}): KeptReading {
  const rounded = (values: ArrayLike<number>) => Array.from(values, (value) => Number(value.toFixed(6)));
  const { ground, specular, reflectance, spread, repeats, singles } = measured;
  return {
    ground,
    specular,
    reflectance: rounded(reflectance),
    spread: rounded(spread),
    repeats,
    ...(singles.length > 1 ? { singles: singles.map(rounded) } : {}),
  };
}

/** A file of drawdowns in the form kept in a notebook. */
export function keptDrawdowns(file: DrawdownFile): KeptDrawdowns {
  return keptTable(file, keptReading);
}

/** A file of colours in the form kept in a notebook. */
export function keptColours(file: DrawdownColours): KeptColours {
  return keptTable(file, ({ ground, specular, Lab }) => ({ ground, specular, Lab: [...Lab] as const }));
}

function keptTable<From, Reading>(
  {
    file,
    components,
    films,
    bare,
    notes,
  }: Omit<DrawdownFile, "films" | "bare" | "settings"> & {
    readonly films: readonly (Omit<DrawdownFile["films"][number], "readings"> & {
      readonly readings: readonly From[];
    })[];
    readonly bare: readonly From[];
  },
  reading: (from: From) => Reading,
): KeptTable<Reading> {
  return {
    file: file.slice(0, 200),
    components: [...components],
    films: films.map((film) => ({
      label: film.label,
      use: true,
      basis: film.basis,
      amounts: [...film.amounts],
      thickness: { ...film.thickness },
      readings: film.readings.map(reading),
    })),
    bare: bare.map(reading),
    notes: notes.slice(0, mostNotes),
  };
}

/** Labels that tell the films apart: the second "red" is "red (2)". */
export function ownLabels(films: readonly { readonly label: string }[]): string[] {
  const used = new Set(films.map(({ label }) => label));
  const seen = new Set<string>();
  return films.map(({ label }) => {
    let name = label;
    for (let k = 2; seen.has(name) || (name !== label && used.has(name)); k++) name = `${label} (${k})`;
    seen.add(name);
    return name;
  });
}

/** Kept drawdowns as the calibration takes them; films that are left out, or have no reading yet, are passed over. */
export function tableOf(
  { components, films, bare }: KeptDrawdowns,
  without: readonly string[] = [],
): MeasuredDrawdowns {
  const measured = ({ ground, specular, reflectance, spread, repeats }: KeptReading) => ({
    ...{ ground, specular, repeats },
    reflectance: Float64Array.from(reflectance),
    spread: Float64Array.from(spread),
  });
  const labels = ownLabels(films);
  return {
    components,
    films: films.flatMap(({ use, basis, amounts, thickness: told, readings }, f) =>
      use && readings.length > 0 && !without.includes(labels[f])
        ? [{ label: labels[f], basis, amounts, thickness: told, readings: readings.map(measured) }]
        : [],
    ),
    bare: bare.map(measured),
  };
}
