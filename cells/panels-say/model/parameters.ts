import * as v from "valibot";
import type { ParameterSpecs } from "../../../src/graph/parameters.ts";
import { type KeptSay, keptSaySchema } from "../../../src/ledger/keptSay.ts";
import { type Panel, panelSchema } from "../../../src/ledger/panel.ts";
import { type ComponentParameter, componentSchema } from "../../../src/ports/pigmentSet.ts";

/** A panel as this notebook has it, under its id in the ledger. */
export interface OwnPanel {
  readonly id: string;
  readonly panel: Panel;
}

/** More would make a notebook heavy and learning long. */
const mostPanels = 400;

export const parameters = {
  panels: {
    type: "value",
    label: "Panels",
    help: "A copy of the ledger's panels, so that this notebook stays as it is when the ledger grows.",
    schema: v.pipe(
      v.array(v.strictObject({ id: v.pipe(v.string(), v.maxLength(64)), panel: panelSchema })),
      v.maxLength(mostPanels, `at most ${mostPanels} panels can be learnt from at once`),
    ),
    initial: [] as OwnPanel[],
  },
  before: {
    type: "value",
    label: "The shelf before the panels",
    help: "Pastes as they were known when the first panel came in: nothing is counted twice.",
    schema: v.pipe(v.array(componentSchema), v.maxLength(100)),
    initial: [] as ComponentParameter[],
  },
  learnt: {
    type: "value",
    label: "What they say",
    schema: v.nullable(keptSaySchema),
    initial: null as KeptSay | null,
  },
  used: {
    type: "text",
    label: "What was put on the shelf",
    initial: "",
    maxLength: 60,
  },
} as const satisfies ParameterSpecs;
