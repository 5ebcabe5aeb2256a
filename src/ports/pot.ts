import * as v from "valibot";

/** What was poured into a pot: mL of each component. */
export const potSchema = v.pipe(
  v.array(
    v.strictObject({
      component: v.pipe(v.string(), v.maxLength(64)),
      volume: v.pipe(
        v.number(),
        v.minValue(0, "0 to 100000 mL is allowed"),
        v.maxValue(100_000, "0 to 100000 mL is allowed"),
      ),
    }),
  ),
  v.maxLength(40, "at most 40 components are allowed"),
);
export type Pot = v.InferOutput<typeof potSchema>;
