import * as v from "valibot";
import { usualDropsPerMl } from "../coating/drops.ts";

/** Drops to the mL of single bottles, as counted by the user. */
export const dropsSchema = v.pipe(
  v.array(
    v.strictObject({
      component: v.pipe(v.string(), v.maxLength(64)),
      perMl: v.pipe(
        v.number(),
        v.minValue(2, "2 to 200 drops per mL is allowed"),
        v.maxValue(200, "2 to 200 drops per mL is allowed"),
      ),
    }),
  ),
  v.maxLength(200),
);
export type CountedDrops = v.InferOutput<typeof dropsSchema>;

/** Drops to the mL of a component: as counted, or the usual figure. */
export function dropsPerMlOf(id: string, counted: CountedDrops): number {
  return counted.find((entry) => entry.component === id)?.perMl ?? usualDropsPerMl;
}
