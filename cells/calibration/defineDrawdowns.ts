import * as v from "valibot";
import { workingGrid } from "../../src/colour/grid.ts";
import type { MeasuredDrawdowns } from "../../src/solve/calibration/fromTable.ts";
import type { DrawdownFile } from "../../src/tables/drawdownFile.ts";

const text = v.pipe(v.string(), v.maxLength(200));
const curve = v.pipe(v.array(v.number()), v.length(workingGrid.length));
const reading = v.strictObject({
  ground: text,
  specular: v.picklist(["included", "excluded"]),
  reflectance: curve,
  spread: curve,
  repeats: v.pipe(v.number(), v.integer(), v.minValue(1)),
});

/** Drawdowns as kept inside a notebook, on the working grid, so that the calibration can be computed again. */
export const keptDrawdownsSchema = v.strictObject({
  file: text,
  components: v.pipe(v.array(text), v.maxLength(12)),
  films: v.pipe(
    v.array(
      v.strictObject({
        label: text,
        use: v.boolean(),
        basis: v.picklist(["volume", "mass", "dry volume"]),
        amounts: v.pipe(
          v.array(v.pipe(v.number(), v.minValue(0, "an amount of at least 0 is allowed"))),
          v.maxLength(13),
        ),
        thickness: v.union([
          v.strictObject({
            kind: v.literal("stated"),
            basis: v.picklist(["dry", "wet", "gap", "amount"]),
            value: v.pipe(
              v.number(),
              v.minValue(0.01, "0.01 to 10000 is allowed"),
              v.maxValue(10_000, "0.01 to 10000 is allowed"),
            ),
            errorPercent: v.optional(v.pipe(v.number(), v.minValue(0), v.maxValue(100))),
          }),
          v.strictObject({ kind: v.literal("unknown") }),
          v.strictObject({ kind: v.literal("opaque") }),
        ]),
        readings: v.pipe(v.array(reading), v.maxLength(20)),
      }),
    ),
    v.maxLength(200),
  ),
  bare: v.pipe(v.array(reading), v.maxLength(20)),
  notes: v.pipe(v.array(v.string()), v.maxLength(100)),
});
export type KeptDrawdowns = v.InferOutput<typeof keptDrawdownsSchema>;
export type KeptFilm = KeptDrawdowns["films"][number];

const sides = v.strictObject({ low: curve, high: curve });
/** Bands from refits, with what tells whether they still belong to the result. */
export const keptBandsSchema = v.strictObject({ absorption: sides, scattering: sides, fits: v.string() });
export type KeptBands = v.InferOutput<typeof keptBandsSchema>;

/** A file of drawdowns in the form kept in a notebook. */
export function keptDrawdowns({ file, components, films, bare, notes }: DrawdownFile): KeptDrawdowns {
  const keptReading = ({ ground, specular, reflectance, spread, repeats }: DrawdownFile["bare"][number]) => ({
    ground,
    specular,
    reflectance: Array.from(reflectance, (value) => Number(value.toFixed(6))),
    spread: Array.from(spread, (value) => Number(value.toFixed(6))),
    repeats,
  });
  return {
    file,
    components: [...components],
    films: films.map((film) => ({
      label: film.label,
      use: true,
      basis: film.basis,
      amounts: [...film.amounts],
      thickness: { ...film.thickness },
      readings: film.readings.map(keptReading),
    })),
    bare: bare.map(keptReading),
    notes: [...notes],
  };
}

/** Kept drawdowns as the calibration takes them; films that are not to be used are left out. */
export function tableOf({ components, films, bare }: KeptDrawdowns): MeasuredDrawdowns {
  const measured = (kept: KeptDrawdowns["bare"][number]) => ({
    ...kept,
    reflectance: Float64Array.from(kept.reflectance),
    spread: Float64Array.from(kept.spread),
  });
  return {
    components,
    films: films
      .filter((film) => film.use)
      .map((film) => ({ ...film, readings: film.readings.map(measured) })),
    bare: bare.map(measured),
  };
}
