import * as v from "valibot";
import { workingGrid } from "../colour/grid.ts";
import { savedJointSchema } from "../tables/savedJoint.ts";
import { ledgerLimits } from "./panel.ts";
import type { PanelsSay } from "./say.ts";

const number = v.pipe(v.number(), v.finite());
const text = v.pipe(v.string(), v.maxLength(400));
const curve = v.pipe(v.array(v.pipe(number, v.minValue(0))), v.length(workingGrid.length));
const list = <Item extends v.GenericSchema>(item: Item, most: number) =>
  v.pipe(v.array(item), v.maxLength(most));

const plan = v.strictObject({
  label: text,
  parts: list(v.strictObject({ component: text, name: text, amount: number }), 40),
  ground: text,
  coats: number,
  wetThickness: number,
});

/** What panels say, as kept in a notebook, with what it was asked of. */
export const keptSaySchema = v.strictObject({
  /** Fingerprint of panels and shelf. */
  question: v.string(),
  /** Fingerprint of the job. */
  job: v.string(),
  said: v.strictObject({
    pastes: list(
      v.strictObject({
        name: text,
        component: text,
        absorption: curve,
        scattering: curve,
        absorptionSigma: curve,
        scatteringSigma: curve,
        /** Missing in notebooks that learnt before draws were handed on. */
        joint: v.optional(savedJointSchema),
        doubt: v.nullable(number),
        panels: number,
      }),
      40,
    ),
    panels: list(
      v.strictObject({
        id: text,
        used: v.boolean(),
        off: number,
        band: number,
        contradicts: v.boolean(),
        words: text,
        likely: text,
      }),
      ledgerLimits.panels,
    ),
    errors: list(v.strictObject({ panels: number, ahead: number, median: number }), 20),
    bottles: list(
      v.strictObject({
        paste: text,
        name: text,
        date: text,
        strength: number,
        low: number,
        high: number,
        jump: v.nullable(number),
      }),
      400,
    ),
    shifts: v.optional(list(v.strictObject({ paste: text, date: text, jump: number }), 40)),
    job: v.nullable(number),
    next: list(v.strictObject({ plan, expected: number }), 10),
    taken: number,
    notes: list(v.pipe(v.string(), v.maxLength(2000)), 100),
    state: v.strictObject({
      panels: list(text, ledgerLimits.panels),
      shelf: text,
      bottles: list(text, 400),
      habits: list(text, 400),
      unit: number,
      modes: list(list(number, 4000), 10),
    }),
  }),
}) satisfies v.GenericSchema<unknown, { question: string; job: string; said: PanelsSay }>;

export type KeptSay = v.InferOutput<typeof keptSaySchema>;
