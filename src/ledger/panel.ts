import * as v from "valibot";
import { signatureOf } from "../graph/signature.ts";

// A panel is any film of known ingredients that was read once: a drawdown, a let-down, a test panel, a finished part.
// It holds everything that is needed to learn from it, so that it can leave its notebook.

/** Limits of a ledger; those of a row are the limits of files of films. */
export const ledgerLimits = { panels: 5000, parts: 40, below: 19, wavelengths: 2000 } as const;

const text = (most: number) => v.pipe(v.string(), v.maxLength(most, `at most ${most} signs are allowed`));
const named = v.pipe(v.string(), v.minLength(1, "a name is needed"), v.maxLength(200, "at most 200 signs"));
const between = (least: number, most: number, unit = "") => {
  const words = `${least} to ${most}${unit} is allowed`;
  return v.pipe(v.number(words), v.minValue(least, words), v.maxValue(most, words));
};

const specular = v.picklist(["included", "excluded"]);
const curve = {
  wavelengths: v.pipe(
    v.array(between(200, 1200, " nm")),
    v.minLength(8, "at least 8 wavelengths are needed"),
    v.maxLength(ledgerLimits.wavelengths, `at most ${ledgerLimits.wavelengths} wavelengths`),
  ),
  values: v.array(between(-0.05, 1.3)),
};
const spectrum = v.strictObject({ specular, ...curve });
const isWhole = ({ wavelengths, values }: Pick<v.InferOutput<typeof spectrum>, "wavelengths" | "values">) =>
  wavelengths.length === values.length && wavelengths.every((nm, i) => i === 0 || nm > wavelengths[i - 1]);

const thickness = v.union(
  [
    v.strictObject({
      basis: v.picklist(["dry", "wet", "gap", "amount"]),
      value: between(0.01, 1e9),
      errorPercent: v.optional(between(0.01, 300, " %")),
    }),
    v.literal("unknown"),
    v.literal("opaque"),
  ],
  "a thickness, “unknown” or “opaque” is allowed",
);

/** One film as it was poured and laid. */
const filmSchema = v.strictObject({
  basis: v.picklist(["volume", "mass", "dry volume"]),
  parts: v.pipe(
    v.array(
      v.strictObject({
        name: named,
        /** Id of the component on the shelf it was poured from. */
        component: v.optional(text(64)),
        /** As poured, in any unit that all parts share. */
        amount: v.pipe(
          between(0, 1e9),
          v.check((value) => value > 0, "an amount above 0 is needed"),
        ),
        /** The bottle, where several were in use one after another. */
        batch: v.optional(text(80)),
      }),
    ),
    v.minLength(1, "at least one ingredient is needed"),
    v.maxLength(ledgerLimits.parts, `at most ${ledgerLimits.parts} ingredients`),
  ),
  /** Of one coat: µm, or a laid amount. */
  thickness,
  coats: v.pipe(between(1, 30), v.integer("a whole number is allowed")),
});

const panelFields = v.strictObject({
  label: named,
  ...filmSchema.entries,
  /** The bare ground; its reading may be missing under a film that hides. */
  ground: v.strictObject({ name: named, reading: v.optional(spectrum) }),
  /** Films between ground and panel, from below. */
  below: v.optional(v.pipe(v.array(filmSchema), v.maxLength(ledgerLimits.below))),
  reading: v.variant("kind", [
    v.strictObject({ kind: v.literal("spectrum"), specular, ...curve }),
    v.strictObject({
      kind: v.literal("lab"),
      specular,
      Lab: v.tuple([between(0, 100), between(-128, 128), between(-128, 128)]),
      illuminant: text(40),
      observer: v.picklist(["1931-2", "1964-10"]),
      /** 1σ in L*, a* and b*. */
      sigma: between(0.01, 50),
    }),
  ]),
  /** Which instrument, or whose hand, read it. */
  habit: text(80),
  /** As the person writes it; 2031-05-04 sorts well. */
  date: text(40),
  /** Where it came from, for the reader. */
  origin: text(200),
  /** Why nothing is learnt from it; empty where something is. */
  setAside: text(200),
});

export const panelSchema = v.pipe(
  panelFields,
  v.check(
    ({ ground, reading }) =>
      (reading.kind === "lab" || isWhole(reading)) && (!ground.reading || isWhole(ground.reading)),
    "a reflectance for each wavelength is needed, and rising wavelengths",
  ),
  v.check(
    ({ ground, thickness: one }) => ground.reading !== undefined || one === "opaque",
    "the reading of the bare ground is needed under a film that does not hide",
  ),
);

export type Panel = v.InferOutput<typeof panelSchema>;
export type PanelFilm = v.InferOutput<typeof filmSchema>;

/**
 * Id of a panel by what was poured, laid and read: the same panel handed on twice, on another day or as CSV, is one entry.
 * Names and what is said about it do not count, nor in which order its ingredients are told.
 */
export function idOfPanel({ ground, below = [], reading, ...film }: Panel): string {
  const content = [[film, ...below].map(pouredOf), ground.reading ?? null, reading];
  return `${signatureOf(["panel", content])}-${signatureOf(["ledger", content])}`;
}

function pouredOf({ basis, parts, thickness, coats }: PanelFilm): unknown {
  const poured = parts.map(({ name, amount }) => [name.toLowerCase(), amount] as const);
  return [basis, poured.sort(([a], [b]) => (a < b ? -1 : 1)), thickness, coats];
}

/** Numbers as a reading is kept: far below the noise of any instrument. */
export function keptNumbers(values: ArrayLike<number>, digits = 5): number[] {
  return Array.from(values, (value) => Number(value.toFixed(digits)));
}
