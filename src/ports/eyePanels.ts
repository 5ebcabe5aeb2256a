import * as v from "valibot";
import { illuminantNames } from "../tables/illuminants.ts";
import { potSchema } from "./pot.ts";

const step = v.nullable(
  v.union([
    v.literal("cannot judge"),
    v.pipe(
      v.number(),
      v.integer("a whole step is needed"),
      v.minValue(-4, "steps from -4 to 4 are allowed"),
      v.maxValue(4, "steps from -4 to 4 are allowed"),
    ),
  ]),
);

const axis = v.pipe(
  v.number(),
  v.minValue(-200, "a* and b* from -200 to 200 are allowed"),
  v.maxValue(200, "a* and b* from -200 to 200 are allowed"),
);
const Lab = v.tuple([
  v.pipe(
    v.number(),
    v.minValue(0, "L* from 0 to 105 is allowed"),
    v.maxValue(105, "L* from 0 to 105 is allowed"),
  ),
  axis,
  axis,
]);
const steps = v.tuple([step, step, step]);

/** A panel that was held beside the reference; `null` stands for a word that is not said yet. */
const panelSchema = v.strictObject({
  poured: potSchema,
  /** Part of the coverage cell whose ground it lies on, from 1; 0: so thick that it hides everything. */
  part: v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(64)),
  /** How many of the planned coats; null: all. */
  coats: v.nullable(
    v.pipe(v.number(), v.integer(), v.minValue(1, "at least one coat is needed"), v.maxValue(40)),
  ),
  /** The light it was judged in. */
  light: v.picklist(illuminantNames),
  steps,
});

/** A panel whose colour and whose reference's colour were both measured, and what was said of them. */
const pairSchema = v.strictObject({ panel: Lab, reference: Lab, steps });

export const panelsSchema = v.pipe(v.array(panelSchema), v.maxLength(30, "at most 30 panels are allowed"));
export const pairsSchema = v.pipe(v.array(pairSchema), v.maxLength(200, "at most 200 pairs are allowed"));

export type EyePanel = v.InferOutput<typeof panelSchema>;
export type EyePair = v.InferOutput<typeof pairSchema>;
export type Poured = v.InferOutput<typeof potSchema>;
export type SaidStep = EyePanel["steps"][number];

/** Nothing said yet. */
export const nothingSaid: EyePanel["steps"] = [null, null, null];
