import * as v from "valibot";

const number = v.pipe(v.number(), v.finite());
const place = v.pipe(v.number(), v.integer(), v.minValue(1));

/** A ground that a ranking found, as kept in the notebook. */
const rankedGround = v.strictObject({
  /** Base paints, then the tinting paste if there is one. */
  members: v.pipe(
    v.array(v.strictObject({ component: v.pipe(v.string(), v.maxLength(64)), share: number })),
    v.minLength(1),
    v.maxLength(4),
  ),
  tinted: v.boolean(),
  difference: number,
  worstPart: v.string(),
  /** Fewest colour coats that bring every part within the tolerance. */
  coats: v.nullable(v.pipe(v.number(), v.integer())),
  hiding: number,
  basecoatsToHide: v.nullable(v.pipe(v.number(), v.integer())),
  contrastRatio: number,
  /** Per m². */
  cost: v.nullable(number),
  outstanding: v.boolean(),
  words: v.pipe(v.string(), v.maxLength(600)),
  /** Its place by each order, from 1. */
  places: v.strictObject({ difference: place, coats: place, hiding: place, cost: place }),
});
export type KeptGround = v.InferOutput<typeof rankedGround>;

/** The list of the last ranking, with what tells whether it still fits. */
export const rankingSchema = v.nullable(
  v.strictObject({
    signature: v.string(),
    tried: v.number(),
    reduced: v.number(),
    notes: v.pipe(v.array(v.string()), v.maxLength(8)),
    grounds: v.pipe(v.array(rankedGround), v.maxLength(60)),
  }),
);
export type KeptRanking = NonNullable<v.InferOutput<typeof rankingSchema>>;
