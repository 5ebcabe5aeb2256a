import * as v from "valibot";

const number = v.pipe(v.number(), v.finite());
const count = v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(100));
const amounts = v.pipe(
  v.array(v.strictObject({ component: v.pipe(v.string(), v.maxLength(64)), volume: number })),
  v.maxLength(40),
);

/** A way of doing the whole job, as kept in the notebook. */
const keptPlan = v.strictObject({
  basecoats: count,
  lightCoats: count,
  heavyCoats: count,
  /** Share of each base paint in the wet basecoat. */
  shares: v.pipe(v.array(number), v.minLength(1), v.maxLength(3)),
  /** mL in 100 mL of the colour. */
  amounts,
  worst: number,
  worstPart: v.string(),
  /** Greatest ΔE00 over the parts in each light, main light first. */
  inLights: v.array(number),
  passes: v.boolean(),
  /** On average under an uneven hand, for the part that fares worst, in the viewing cell's formula. */
  expected: number,
  basecoatVolume: number,
  colourVolume: number,
  cost: v.nullable(number),
  dryBuild: number,
});
export type KeptPlan = v.InferOutput<typeof keptPlan>;

/** The plans of the last search, from the least to the greatest volume. */
export const plansSchema = v.nullable(
  v.strictObject({
    signature: v.string(),
    /** Ids of the base paints that the shares belong to. */
    paints: v.array(v.string()),
    lights: v.array(v.string()),
    feasible: v.boolean(),
    goal: v.picklist(["volume", "cost"]),
    /** Index of the plan that reaches the goal, or comes nearest to passing. */
    best: v.pipe(v.number(), v.integer(), v.minValue(0)),
    plans: v.pipe(v.array(keptPlan), v.minLength(1), v.maxLength(60)),
    notes: v.pipe(v.array(v.string()), v.maxLength(8)),
  }),
);
export type KeptPlans = NonNullable<v.InferOutput<typeof plansSchema>>;
