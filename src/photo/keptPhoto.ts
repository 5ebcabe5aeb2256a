import * as v from "valibot";
import { type CircleSample, judgedSample } from "./circleSample.ts";
import type { PictureSpace } from "./pictureSpace.ts";

const pixels = v.pipe(v.number(), v.minValue(1), v.maxValue(100_000));
const share = v.pipe(v.number(), v.minValue(0, "0 to 1 is allowed"), v.maxValue(1.0001, "0 to 1 is allowed"));

/** The picture as kept inside the notebook: reduced, upright, as text. It is looked at in the page only. */
export const pictureSchema = v.strictObject({
  data: v.pipe(
    v.string(),
    v.maxLength(420_000, "at most 420,000 characters are allowed"),
    v.regex(/^data:image\/(?:jpeg|png|webp);base64,[A-Za-z0-9+/]+={0,2}$/, "this is no kept picture"),
  ),
  width: pixels,
  height: pixels,
  space: v.picklist(["srgb", "display-p3"]),
  name: v.pipe(v.string(), v.maxLength(200)),
  from: v.strictObject({ width: pixels, height: pixels }),
});

/**
 * Figures of the pixels in a circle, taken in the page when the circle was laid down. They are kept so that the notebook
 * computes the same without a page, where no picture can be decoded.
 */
const statisticsSchema = v.strictObject({
  rgb: v.tuple([share, share, share]),
  spread: v.tuple([share, share, share]),
  count: v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(1e7)),
  clipped: share,
  shadowed: share,
  saturated: share,
});

const axis = v.pipe(v.number(), v.minValue(-200), v.maxValue(200));

const circleSchema = v.strictObject({
  id: v.pipe(v.string(), v.regex(/^[a-z][a-z0-9-]{0,40}$/)),
  /** card: the grey card; patch: another surface of known colour; part: the surface asked about */
  role: v.picklist(["card", "patch", "part"]),
  label: v.pipe(v.string(), v.maxLength(100)),
  x: v.pipe(v.number(), v.minValue(0), v.maxValue(100_000)),
  y: v.pipe(v.number(), v.minValue(0), v.maxValue(100_000)),
  radius: v.pipe(v.number(), v.minValue(1), v.maxValue(50_000)),
  /** known CIELAB of a patch */
  Lab: v.optional(v.tuple([v.pipe(v.number(), v.minValue(0), v.maxValue(100)), axis, axis])),
  /** null until it was sampled in the page */
  sample: v.nullable(statisticsSchema),
});

export const circlesSchema = v.pipe(
  v.array(circleSchema),
  v.maxLength(200, "at most 200 circles are allowed"),
);

export type KeptPhoto = v.InferOutput<typeof pictureSchema>;
export type KeptCircle = v.InferOutput<typeof circleSchema>;
type KeptStatistics = v.InferOutput<typeof statisticsSchema>;

/** What a kept circle says; undefined before it was sampled. */
export function sampleOf(
  { x, y, radius, sample }: KeptCircle,
  space: PictureSpace,
): CircleSample | undefined {
  if (!sample) return undefined;
  return judgedSample(
    {
      ...sample,
      circle: { x, y, radius },
      rgb: Float64Array.from(sample.rgb),
      spread: Float64Array.from(sample.spread),
    },
    space,
  );
}

/** The figures of a sample as kept: as many digits as pixels can tell. */
export function statisticsToKeep(sample: CircleSample): KeptStatistics {
  const round = (value: number) => Number(value.toPrecision(7));
  const three = ([r, g, b]: Float64Array): [number, number, number] => [round(r), round(g), round(b)];
  return {
    rgb: three(sample.rgb),
    spread: three(sample.spread),
    count: sample.count,
    clipped: round(sample.clipped),
    shadowed: round(sample.shadowed),
    saturated: round(sample.saturated),
  };
}
