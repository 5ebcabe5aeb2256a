import type { NotebookDocument } from "../document/notebook.ts";
import type { CellKind, Registry } from "../graph/defineCell.ts";
import type { Outcome } from "../graph/outcome.ts";

/** A cell on the way, and why it is needed. */
export interface Stage {
  readonly kind: string;
  /** How many cells of the kind there must be. */
  readonly count: number;
  readonly title?: string;
  readonly parameters?: Record<string, unknown>;
  readonly why: string;
}

/** The way from nothing to a basecoat ratio; each cell finds the ones it needs above it. */
const stages: readonly Stage[] = [
  { kind: "target", count: 1, why: "the colour to reach" },
  { kind: "viewing", count: 1, why: "the light and the eye it is judged with" },
  {
    kind: "pigment-set",
    count: 1,
    title: "Base paints",
    parameters: { set: "Lantern Room base paints" },
    why: "the base paints on your shelf",
  },
  { kind: "basecoat-blend", count: 1, why: "the ground under the colour" },
  {
    kind: "pigment-set",
    count: 2,
    title: "Pastes",
    parameters: { set: "Lantern Room rack" },
    why: "the pastes and the binder on your shelf",
  },
  { kind: "substrate", count: 1, why: "what is to be coated" },
  { kind: "coat-plan", count: 1, why: "how many coats, and how thick" },
  {
    kind: "recipe",
    count: 1,
    parameters: {
      amounts: [
        { component: "pr254", volume: 16 },
        { component: "po73", volume: 4 },
        { component: "binder", volume: 80 },
      ],
    },
    why: "the mix of pastes, to be fitted to the target",
  },
  { kind: "coverage", count: 1, why: "every part as it will look, coat by coat" },
  { kind: "ratio-sweep", count: 1, why: "the best basecoat ratio" },
];

/** What a person may do next, or nothing. */
export type NextStep =
  | { readonly do: "add"; readonly stage: Stage; readonly kind: CellKind }
  | { readonly do: "mend"; readonly id: string; readonly title: string; readonly message: string };

/**
 * The next step in a notebook: mend the first cell that needs a person; else, until there is a coverage and a ratio sweep in
 * a notebook that is on the way there, add the next cell.
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
  const counts = new Map<string, number>();
  for (const cell of document.cells) {
    // A photograph of the colour is a target too.
    const kind = registry.get(cell.kind)?.output === "target" ? "target" : cell.kind;
    counts.set(kind, (counts.get(kind) ?? 0) + 1);
  }
  // Somebody who adds other cells, or notes alone, is going another way.
  const elsewhere = [...counts.keys()].some((kind) => !stages.some((stage) => stage.kind === kind));
  if (elsewhere || (document.cells.length > 0 && !counts.has("target"))) return undefined;
  for (const stage of stages) {
    const kind = registry.get(stage.kind);
    if (kind && (counts.get(stage.kind) ?? 0) < stage.count) return { do: "add", stage, kind };
  }
  return undefined;
}
