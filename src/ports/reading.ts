import * as v from "valibot";
import { spectrumSchema } from "./spectrum.ts";

const label = v.pipe(v.string(), v.maxLength(200, "a name of at most 200 characters is allowed"));
const specular = v.optional(v.picklist(["included", "excluded"]));
const axis = v.pipe(
  v.number(),
  v.minValue(-200, "a* and b* from -200 to 200 are allowed"),
  v.maxValue(200, "a* and b* from -200 to 200 are allowed"),
);

/** A colour as read by an instrument and kept inside a notebook; what is left out, the file did not say. */
const readingSchema = v.variant("kind", [
  v.strictObject({
    kind: v.literal("spectrum"),
    label,
    wavelengths: spectrumSchema.entries.wavelengths,
    values: spectrumSchema.entries.values,
    specular,
  }),
  v.strictObject({
    kind: v.literal("lab"),
    label,
    Lab: v.tuple([
      v.pipe(
        v.number(),
        v.minValue(0, "L* from 0 to 105 is allowed"),
        v.maxValue(105, "L* from 0 to 105 is allowed"),
      ),
      axis,
      axis,
    ]),
    observer: v.optional(v.picklist(["1931-2", "1964-10"])),
    illuminant: v.optional(v.pipe(v.string(), v.maxLength(40))),
    specular,
  }),
]);

export type Reading = v.InferOutput<typeof readingSchema>;

/** Readings of one surface. */
export const readingsSchema = v.pipe(
  v.array(readingSchema),
  v.maxLength(60, "at most 60 readings are allowed"),
);
