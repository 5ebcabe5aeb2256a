import type { CellKind, Registry } from "../src/graph/defineCell.ts";
import { define } from "./defines.ts";

/**
 * Every kind of cell under the question that it answers, in the order in which they are offered. Adding a kind is a folder
 * of its name and a line here.
 *
 * bounded: every loop that its code can reach has a bound, which test/boundedLoops.test.ts holds; it computes in place.
 * apart: not so; it computes in a worker, which is ended after two seconds.
 */
const questions: Readonly<Record<string, Readonly<Record<string, "bounded" | "apart">>>> = {
  "Which colour is it to be?": {
    target: "bounded",
    photo: "bounded",
    "by-eye": "bounded",
    fading: "bounded",
    viewing: "bounded",
  },
  "What stands on the shelf?": {
    "pigment-set": "bounded",
    calibration: "bounded",
    "panels-say": "bounded",
  },
  "What lies under it?": {
    substrate: "bounded",
    "basecoat-blend": "bounded",
    "ratio-sweep": "bounded",
    "ground-ranking": "bounded",
    "three-paints": "bounded",
  },
  "Which mix, in how many coats?": {
    recipe: "bounded",
    "coat-plan": "bounded",
    coverage: "bounded",
    "joint-plan": "bounded",
    "weigh-out": "bounded",
    correction: "bounded",
  },
  "Why does it come out so?": {
    "light-budget": "bounded",
    "layer-picture": "bounded",
    "one-drop": "bounded",
    "light-to-light": "bounded",
    "what-if": "bounded",
    "how-sure": "bounded",
  },
  "What does the job take?": {
    batch: "bounded",
    "day-plan": "bounded",
    quote: "bounded",
    "job-sheet": "bounded",
    "job-record": "bounded",
  },
  "How is it told?": {
    note: "bounded",
    question: "bounded",
    "pair-to-judge": "bounded",
  },
};
const kinds = Object.assign({}, ...Object.values(questions)) as Readonly<Record<string, "bounded" | "apart">>;
const names = Object.keys(kinds);

/** Which kinds answer which question, in the order in which they are offered. */
export const kindsByQuestion: readonly (readonly [question: string, kinds: readonly string[]])[] =
  Object.entries(questions).map(([question, answering]) => [question, Object.keys(answering)]);

/** The kinds that compute in place. */
export const boundedKinds: ReadonlySet<string> = new Set(names.filter((name) => kinds[name] === "bounded"));
/** Whether a kind has to be computed where it can be ended. */
export const needsApart = (kind: string) => !boundedKinds.has(kind);

/** Never loaded headless; the default export is the element's tag. */
const views = import.meta.glob<{ default: string }>("./*/view.ts");

/**
 * A registry that grows, each kind loaded when first needed, so that a page starts with little: it holds the kinds that
 * were needed so far, in the order in which they are offered.
 */
interface GrowingRegistry {
  readonly registry: Registry;
  /** Load these kinds, or all; unknown names are passed over, their cells say so themselves. */
  need(names?: Iterable<string>): Promise<void>;
}

export function growingRegistry(): GrowingRegistry {
  const registry = new Map<string, CellKind>();
  return {
    registry,
    async need(wantedNames = names) {
      const wanted = new Set(wantedNames);
      const loaded = await Promise.all(
        names.map((name) => (wanted.has(name) ? (registry.get(name) ?? define(name)) : undefined)),
      );
      // Others may have come in meanwhile.
      const all = names.map((name, k) => registry.get(name) ?? loaded[k]);
      registry.clear();
      for (const kind of all) if (kind) registry.set(kind.kind, kind);
    },
  };
}

/** The tag of the view of a kind, loaded when first needed; undefined for a kind that is not known. */
export async function viewOf(kind: string): Promise<string | undefined> {
  return Object.hasOwn(kinds, kind) ? (await views[`./${kind}/view.ts`]()).default : undefined;
}
