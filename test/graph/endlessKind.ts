import { type CellKind, cellDefiner } from "../../src/graph/defineCell.ts";
import type { Offered } from "../../src/graph/quantity.ts";

const defineCell = cellDefiner<{ any: Offered; number: number }>();

/** Kinds made for tests: one ends only when its limit is reached, and never for a limit of 0; the other doubles. */
const endless = defineCell({
  kind: "endless",
  label: "Endless",
  about: "Counts to a limit. It never ends when there is none.",
  inputs: {},
  output: "number",
  parameters: { limit: { type: "number", label: "Limit", unit: "", min: 0, max: 1e6, step: 1, initial: 5 } },
  compute: (_, { limit }, { note }) => {
    note("counting");
    let count = 0;
    for (;;) if (++count === limit) return count;
  },
  actions: {
    half: { label: "Half", run: (_, { limit }) => ({ limit: limit / 2 }) },
  },
});

const doubled = defineCell({
  kind: "doubled",
  label: "Doubled",
  about: "Twice a number.",
  inputs: { number: { type: "number", label: "Number" } },
  output: "number",
  parameters: { plus: { type: "number", label: "Plus", unit: "", min: 0, max: 10, step: 1, initial: 0 } },
  compute: ({ number }, { plus }) => 2 * number + plus,
});

export const testKinds: ReadonlyMap<string, CellKind> = new Map(
  [endless, doubled].map((kind) => [kind.kind, kind as CellKind]),
);
export const onlyEndless = (kind: string) => kind === "endless";

const cell = (id: string, kind: string, parameters: object, inputs: object = {}) => ({
  id,
  kind,
  title: id,
  parameters: { ...parameters },
  inputs: { ...inputs },
});
/** An endless cell or one with an end, one that takes from it, and two that do not. */
export const cellsWith = (limit: number, plus = 0) => [
  cell("slow", "endless", { limit }),
  cell("after", "doubled", {}, { number: "slow" }),
  cell("good", "endless", { limit: 21 }),
  cell("beside", "doubled", { plus }, { number: "good" }),
];
