import * as v from "valibot";
import { resampleToGrid } from "../colour/resample.ts";
import { doubtOfSaved } from "../tables/readingScale.ts";

/** A measured spectrum as kept inside a notebook: on the grid it came on, so that nothing is lost. */
export const spectrumSchema = v.strictObject({
  label: v.pipe(v.string(), v.maxLength(200)),
  /** Where it came from, for the reader. */
  origin: v.optional(v.pipe(v.string(), v.maxLength(400))),
  wavelengths: v.pipe(
    v.array(v.pipe(v.number(), v.finite())),
    v.minLength(8, "at least 8 wavelengths are needed"),
    v.maxLength(2000, "at most 2000 wavelengths"),
  ),
  values: v.array(
    v.pipe(
      v.number(),
      v.minValue(-0.01, "a reflectance from 0 to 1.2 is allowed"),
      v.maxValue(1.2, "a reflectance from 0 to 1.2 is allowed (divide per cent by 100)"),
    ),
  ),
});

export type SpectrumParameter = v.InferOutput<typeof spectrumSchema>;

/** A spectrum's label, where it came from, and as what its numbers were read. */
export function sourceOf({ label, origin }: SpectrumParameter): string {
  return origin ? `${label} (${origin})` : label;
}

/**
 * The spectrum on the working grid.
 * @param note told about everything that was assumed on the way
 * @throws RangeError for wavelengths that do not rise or cover too little
 */
export function onWorkingGrid(spectrum: SpectrumParameter, note: (text: string) => void): Float64Array {
  const { values, notes } = resampleToGrid(spectrum.wavelengths, spectrum.values);
  const doubt = doubtOfSaved(spectrum.values);
  for (const text of doubt ? [doubt, ...notes] : notes) note(`${spectrum.label}: ${text}`);
  return values;
}
