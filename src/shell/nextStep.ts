import type { NotebookDocument } from "../document/notebook.ts";
import type { CellKind, Registry } from "../graph/defineCell.ts";
import type { Outcome } from "../graph/outcome.ts";

/** A cell on the way, and why it is needed. */
interface Stage {
  /** Id of the cell in the starter of a whole job, whose settings it begins with. */
  readonly cell: string;
  readonly kind: string;
  /** Where the name of the kind does not tell cells apart. */
  readonly title?: string;
  readonly why: string;
  /** What a person does there, on the walk through a whole job. */
  readonly todo: string;
  /** Action of the cell that is offered on the walk. */
  readonly action?: string;
}

/** The way from nothing to a basecoat ratio, in an order in which each cell finds the ones it needs above it. */
const toTheColour: readonly Stage[] = [
  {
    cell: "target",
    kind: "target",
    why: "the colour to reach",
    todo: "Type L*, a*, b* of an unfaded spot, or bring in a file",
  },
  {
    cell: "viewing",
    kind: "viewing",
    why: "the light and the eye it is judged with",
    todo: "Say how close is close enough, and in which lights",
  },
  {
    cell: "base-paints",
    kind: "pigment-set",
    title: "Base paints",
    why: "the base paints on your shelf",
    todo: "Put your own base paints here: their colour as read will do. What comes with it is invented",
  },
  {
    cell: "ground",
    kind: "basecoat-blend",
    why: "the ground under the colour",
    todo: "Choose the paints of the ground and its coats",
  },
  {
    cell: "rack",
    kind: "pigment-set",
    title: "Pastes",
    why: "the pastes and the binder on your shelf",
    todo: "Put your own pastes here, leave out what you do not have. What comes with it is invented",
  },
  {
    cell: "part",
    kind: "substrate",
    why: "what is to be coated",
    todo: "Say its colour and its size; Duplicate makes a further part",
  },
  {
    cell: "plan",
    kind: "coat-plan",
    why: "how many coats, and how thick",
    todo: "Say how many coats you lay, and how thick",
  },
  {
    cell: "mix",
    kind: "recipe",
    why: "the mix of pastes, to be fitted to the target",
    todo: "Fit it to the target, or search every combination of pastes",
    action: "fit",
  },
  {
    cell: "cover",
    kind: "coverage",
    why: "every part as it will look, coat by coat",
    todo: "See how every part will look, coat by coat",
  },
  {
    cell: "ratio",
    kind: "ratio-sweep",
    why: "the best basecoat ratio",
    todo: "See the best ratio; settle blend and recipe together",
  },
];

/** From the colour to the job done and kept. */
const toTheJob: readonly Stage[] = [
  {
    cell: "weigh",
    kind: "weigh-out",
    why: "the doses of a test mix",
    todo: "Weigh out a test mix, spray a panel, let it dry",
  },
  {
    cell: "batch",
    kind: "batch",
    why: "how much to mix of every layer",
    todo: "See how much to mix of every layer",
  },
  { cell: "day", kind: "day-plan", why: "how long it takes", todo: "See how long the work takes" },
  { cell: "quote", kind: "quote", why: "what to charge, and why", todo: "Give your rates; see the price" },
  {
    cell: "sheet",
    kind: "job-sheet",
    why: "the page to work by and to keep",
    todo: "Print the page to work by and to keep",
  },
  {
    cell: "record",
    kind: "job-record",
    why: "what was really poured and how it came out",
    todo: "Keep what was really poured, and how the parts came out",
  },
  {
    cell: "correct",
    kind: "correction",
    why: "what to add when the test panel came out wrong",
    todo: "Type the colour of the dry panel; what to add stands there",
  },
];

/** The whole way, from nothing to a job that can be repeated. */
export const way: readonly Stage[] = [...toTheColour, ...toTheJob];

/** Something that a cell offers to do by one press. */
interface Offer {
  readonly id: string;
  readonly action: string;
  readonly label: string;
}

/** What a person may do next, or nothing. */
export type NextStep =
  | { readonly do: "add"; readonly stage: Stage; readonly kind: CellKind }
  | (Offer & { readonly do: "act"; readonly title: string; readonly why: string })
  | { readonly do: "mend"; readonly id: string; readonly title: string; readonly message: string }
  | {
      readonly do: "walk";
      readonly id: string;
      readonly title: string;
      readonly todo: string;
      readonly offer?: Offer;
      /** the cell after it; undefined at the end of the way */
      readonly next?: { readonly id: string; readonly title: string };
    };

/** Where a walk through a whole job has ended. */
export const walkedThrough = "";

/**
 * The next step in a notebook: mend the first cell that needs a person; else, in a notebook that is on the way, add the next
 * cell, and do what a cell advises before going on from the colour to the job; else, in a whole job, go through it cell by
 * cell.
 *
 * @param here id of the cell where the walk stands; left out at its beginning, `walkedThrough` after its end
 */
export function nextStep(
  document: NotebookDocument,
  registry: Registry,
  outcomeOf: (id: string) => Outcome,
  here?: string,
): NextStep | undefined {
  const whole = stagesOf(document, registry);
  const { cells } = document;
  const at = here === undefined ? 0 : cells.findIndex(({ id }) => id === here);
  for (const [i, { id, title, kind }] of cells.entries()) {
    const outcome = outcomeOf(id);
    if (outcome.status !== "error") continue;
    // On a walk what comes later is asked for later, after it nothing any more, and what no other cell needs can wait.
    const canWait = i > at || here === walkedThrough || registry.get(kind)?.output === undefined;
    if (whole && outcome.toGive && canWait) continue;
    return { do: "mend", id, title, message: outcome.message };
  }
  if (whole) return here === walkedThrough ? undefined : walk(document, registry, outcomeOf, whole, at);
  // A photograph of the colour is a target too.
  const present = cells.map(({ kind }) => (registry.get(kind)?.output === "target" ? "target" : kind));
  // Somebody who adds other cells, or notes alone, is going another way.
  const elsewhere = present.some((kind) => !way.some((stage) => stage.kind === kind));
  if (elsewhere || (present.length > 0 && !present.includes("target"))) return undefined;
  for (const [i, stage] of way.entries()) {
    if (i === toTheColour.length) {
      const advised = adviceIn(document, registry, outcomeOf);
      if (advised) return advised;
    }
    const place = present.indexOf(stage.kind);
    const kind = registry.get(stage.kind);
    if (place >= 0) present.splice(place, 1);
    else if (kind) return { do: "add", stage, kind };
  }
  return undefined;
}

/** The stages of the cells of a notebook that holds the whole way; further parts count as parts, other cells as none. */
function stagesOf({ cells }: NotebookDocument, registry: Registry): Map<string, Stage> | undefined {
  const left = [...way];
  const stages = new Map<string, Stage>();
  for (const { id, kind } of cells) {
    const name = registry.get(kind)?.output === "target" ? "target" : kind;
    // Of two sets of pigments each is known by its own id.
    const fitting = left.filter((stage) => stage.kind === name);
    const stage = fitting.find(({ cell }) => cell === id) ?? fitting[0];
    if (stage) left.splice(left.indexOf(stage), 1);
    const known = stage ?? way.find((one) => one.kind === name);
    if (known) stages.set(id, known);
  }
  return left.length === 0 ? stages : undefined;
}

function walk(
  { cells }: NotebookDocument,
  registry: Registry,
  outcomeOf: (id: string) => Outcome,
  stages: ReadonlyMap<string, Stage>,
  at: number,
): NextStep {
  const onTheWay = cells.slice(Math.max(at, 0)).filter(({ id }) => stages.has(id));
  const [{ id, title, kind: name }, next] = onTheWay;
  const { todo, action } = stages.get(id)!;
  const kind = registry.get(name);
  const outcome = outcomeOf(id);
  const wanted = (outcome.status === "ok" ? kind?.advice?.(outcome.value)?.action : undefined) ?? action;
  const label = wanted === undefined ? undefined : kind?.actions?.[wanted]?.label;
  return {
    do: "walk",
    id,
    title,
    todo,
    ...(wanted !== undefined && label ? { offer: { id, action: wanted, label } } : {}),
    ...(onTheWay.length > 1 ? { next: { id: next.id, title: next.title } } : {}),
  };
}

function adviceIn(
  { cells }: NotebookDocument,
  registry: Registry,
  outcomeOf: (id: string) => Outcome,
): NextStep | undefined {
  for (const { id, title, kind: name } of cells) {
    const kind = registry.get(name);
    const outcome = outcomeOf(id);
    const advice = outcome.status === "ok" ? kind?.advice?.(outcome.value) : undefined;
    const label = advice && kind?.actions?.[advice.action]?.label;
    if (advice && label) return { do: "act", id, title, action: advice.action, label, why: advice.why };
  }
  return undefined;
}
