import * as v from "valibot";
import { workingGrid } from "../colour/grid.ts";
import type { DrawdownColours } from "../tables/drawdownColours.ts";
import {
  type DrawdownCurve,
  type DrawdownFile,
  type DrawdownFilm,
  drawdownFileLimits,
} from "../tables/drawdownFile.ts";

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

const filmSchema = v.strictObject({
  label: text,
  /** false = left out by the person */
  use: v.boolean(),
  /** used even when it contradicts the others */
  always: v.optional(v.boolean()),
  basis: v.picklist(["volume", "mass", "dry volume"]),
  /** paste first, then the components of the table */
  amounts: v.pipe(
    v.array(v.pipe(number, v.minValue(0, "an amount of at least 0 is allowed"))),
    v.maxLength(mostComponents),
  ),
  thickness,
});
const mostNotes = 100;
const headSchema = v.strictObject({
  file: text,
  components: v.pipe(v.array(text), v.maxLength(mostComponents - 1)),
  notes: v.pipe(v.array(v.string()), v.maxLength(mostNotes)),
});

export type KeptFilm<Reading> = v.InferOutput<typeof filmSchema> & { readings: Reading[] };
export type KeptTable<Reading> = v.InferOutput<typeof headSchema> & {
  films: KeptFilm<Reading>[];
  bare: Reading[];
};

const tableSchema = <Reading extends v.GenericSchema>(reading: Reading) => {
  const readings = v.pipe(v.array(reading), v.maxLength(100));
  const films = v.array(v.strictObject({ ...filmSchema.entries, readings }));
  return v.strictObject({
    ...headSchema.entries,
    films: v.pipe(films, v.maxLength(rows)),
    bare: readings,
  });
};

/** Drawdowns as kept inside a notebook, on the working grid, so that the calibration can be computed again. */
export const keptDrawdownsSchema = tableSchema(curveReading);
export type KeptDrawdowns = KeptTable<KeptReading>;

/** The same where only colours are known. */
export const keptColoursSchema = tableSchema(colourReading);
export type KeptColours = KeptTable<KeptColour>;

/** A reading of either kind. */
export type AnyReading = KeptReading | KeptColour;

const sides = v.strictObject({ low: curve, high: curve });
/** Bands from refits, with what tells whether they still belong to the result. */
export const keptBandsSchema = v.strictObject({ absorption: sides, scattering: sides, fits: v.string() });
export type KeptBands = v.InferOutput<typeof keptBandsSchema>;

/** A reading in the form kept: six decimals are far below any instrument's noise. */
export function keptReading(measured: Omit<DrawdownCurve, "rows">): KeptReading {
  const { ground, specular, reflectance, spread, repeats, singles } = measured;
  return {
    ...{ ground, specular, repeats },
    reflectance: rounded(reflectance),
    spread: rounded(spread),
    ...(singles.length > 1 ? { singles: singles.map(rounded) } : {}),
  };
}

/** Values to six decimals. */
export function rounded(values: ArrayLike<number>): number[] {
  return Array.from(values, (value) => Number(value.toFixed(6)));
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
  read: Pick<DrawdownFile, "file" | "components" | "notes"> & {
    readonly films: readonly DrawdownFilm<From>[];
    readonly bare: readonly From[];
  },
  reading: (from: From) => Reading,
): KeptTable<Reading> {
  return {
    file: read.file.slice(0, 200),
    components: [...read.components],
    films: read.films.map((film) => ({
      label: film.label,
      use: true,
      basis: film.basis,
      amounts: [...film.amounts],
      thickness: { ...film.thickness },
      readings: film.readings.map(reading),
    })),
    bare: read.bare.map(reading),
    notes: read.notes.slice(0, mostNotes),
  };
}

/** Labels that tell the films apart: the second "red" is "red (2)". */
export function ownLabels(films: readonly { readonly label: string }[]): string[] {
  const used = new Set(films.map(({ label }) => label));
  const seen = new Set<string>();
  return films.map(({ label }) => {
    let name = label;
    const isTaken = () => seen.has(name) || (name !== label && used.has(name));
    // As many names as films, and as many again for those that films have by themselves.
    for (let k = 2; k <= 2 * films.length + 2 && isTaken(); k++) name = `${label} (${k})`;
    seen.add(name);
    return name;
  });
}

/** What tells grounds apart: their names, capitals and blanks aside. */
export function groundKey(ground: string): string {
  return ground.trim().toLowerCase();
}
