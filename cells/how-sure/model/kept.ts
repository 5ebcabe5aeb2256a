import * as v from "valibot";

const number = v.pipe(v.number(), v.finite());
const range = { median: number, low: number, high: number };
const curve = v.pipe(v.array(number), v.maxLength(101));

/** Many jobs played out, as kept in the notebook. */
export const playedSchema = v.nullable(
  v.strictObject({
    signature: v.string(),
    cases: v.pipe(v.number(), v.integer()),
    ratio: number,
    tolerance: number,
    /** Share of the cases within the tolerance. */
    pass: number,
    worst: v.strictObject(range),
    parts: v.pipe(v.array(v.strictObject({ name: v.string(), ...range })), v.maxLength(64)),
    shares: v.pipe(
      v.array(
        v.strictObject({
          source: v.pipe(v.string(), v.maxLength(60)),
          share: number,
          standardError: number,
          total: number,
        }),
      ),
      v.maxLength(12),
    ),
    notes: v.pipe(v.array(v.string()), v.maxLength(8)),
  }),
);
export type Played = NonNullable<v.InferOutput<typeof playedSchema>>;

/** A second opinion by exact transfer, as kept in the notebook. */
export const opinionSchema = v.nullable(
  v.strictObject({
    signature: v.string(),
    /** Worst part along the ratio by both theories. */
    ratios: curve,
    twoFlux: curve,
    exact: curve,
    /** What was asked at one ratio, in words. */
    ratio: number,
    apart: number,
    words: v.pipe(v.string(), v.maxLength(1000)),
  }),
);
export type Opinion = NonNullable<v.InferOutput<typeof opinionSchema>>;
