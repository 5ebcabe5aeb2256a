import type { NotebookDocument } from "../document/notebook.ts";
import type { CellKind, Registry } from "../graph/defineCell.ts";
import type { Outcome } from "../graph/outcome.ts";

/** A cell on the way, and why it is needed. */
interface Stage {
  /** Id of the cell in the starter from a target, whose settings it begins with. */
  readonly cell: string;
  readonly kind: string;
  /** Where the name of the kind does not tell cells apart. */
  readonly title?: string;
  readonly why: string;
}

/**
 * The way from nothing to a basecoat ratio: the cells of the starter from a target, in an order in which each finds the
 * ones it needs above it.
 */
export const way: readonly Stage[] = [
  { cell: "target", kind: "target", why: "the colour to reach" },
  { cell: "viewing", kind: "viewing", why: "the light and the eye it is judged with" },
  { cell: "base-paints", kind: "pigment-set", title: "Base paints", why: "the base paints on your shelf" },
  { cell: "ground", kind: "basecoat-blend", why: "the ground under the colour" },
  { cell: "rack", kind: "pigment-set", title: "Pastes", why: "the pastes and the binder on your shelf" },
  { cell: "part", kind: "substrate", why: "what is to be coated" },
  { cell: "plan", kind: "coat-plan", why: "how many coats, and how thick" },
  { cell: "mix", kind: "recipe", why: "the mix of pastes, to be fitted to the target" },
  { cell: "cover", kind: "coverage", why: "every part as it will look, coat by coat" },
  { cell: "ratio", kind: "ratio-sweep", why: "the best basecoat ratio" },
];

/** What a person may do next, or nothing. */
export type NextStep =
  | { readonly do: "add"; readonly stage: Stage; readonly kind: CellKind }
  | {
      readonly do: "act";
      readonly id: string;
      readonly title: string;
      readonly action: string;
      readonly label: string;
      readonly why: string;
    }
  | { readonly do: "mend"; readonly id: string; readonly title: string; readonly message: string };

/**
 * The next step in a notebook: mend the first cell that needs a person; else, until there is a coverage and a ratio sweep in
 * a notebook that is on the way there, add the next cell; then do what a cell advises.
 */
export function nextStep(
  document: NotebookDocument,
  registry: Registry,
  outcomeOf: (id: string) => Outcome,
): NextStep | undefined {
  for (const { id, title } of document.cells) {
    const outcome = outcomeOf(id);
    if (outcome.status === "error") return { do: "mend", id, title, message: outcome.message };
  }
  // A photograph of the colour is a target too.
  const present = document.cells.map(({ kind }) =>
    registry.get(kind)?.output === "target" ? "target" : kind,
  );
  // Somebody who adds other cells, or notes alone, is going another way.
  const elsewhere = present.some((kind) => !way.some((stage) => stage.kind === kind));
  if (elsewhere || (present.length > 0 && !present.includes("target"))) return undefined;
  for (const stage of way) {
    const at = present.indexOf(stage.kind);
    const kind = registry.get(stage.kind);
    if (at >= 0) present.splice(at, 1);
    else if (kind) return { do: "add", stage, kind };
  }
  for (const { id, title, kind: name } of document.cells) {
    const kind = registry.get(name);
    const outcome = outcomeOf(id);
    const advice = outcome.status === "ok" ? kind?.advice?.(outcome.value) : undefined;
    const label = advice && kind?.actions?.[advice.action]?.label;
    if (advice && label) return { do: "act", id, title, action: advice.action, label, why: advice.why };
  }
  return undefined;
}
