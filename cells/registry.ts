import type { CellKind, Registry } from "../src/graph/defineCell.ts";

/** Every kind of cell, in the order in which they are offered. Adding a kind is a folder of its name and a line here. */
const kinds = [
  "target",
  "photo",
  "by-eye",
  "fading",
  "pigment-set",
  "viewing",
  "substrate",
  "basecoat-blend",
  "recipe",
  "coat-plan",
  "coverage",
  "ratio-sweep",
  "what-if",
  "how-sure",
  "ground-ranking",
  "three-paints",
  "joint-plan",
  "light-budget",
  "layer-picture",
  "light-to-light",
  "one-drop",
  "weigh-out",
  "correction",
  "calibration",
  "question",
  "pair-to-judge",
  "batch",
  "day-plan",
  "quote",
  "job-sheet",
  "job-record",
  "note",
];

/** Each is loaded when first needed, so that a page starts with no more than its notebook asks for. */
const defines = import.meta.glob<{ default: CellKind }>("./*/define.ts");
/** Never loaded headless; the default export is the element's tag. */
const views = import.meta.glob<{ default: string }>("./*/view.ts");

/** A registry that grows: it holds the kinds that were needed so far, in the order in which they are offered. */
interface GrowingRegistry {
  readonly registry: Registry;
  /** Load these kinds, or all; unknown names are passed over, their cells say so themselves. */
  need(names?: Iterable<string>): Promise<void>;
}

export function growingRegistry(): GrowingRegistry {
  const registry = new Map<string, CellKind>();
  return {
    registry,
    async need(names = kinds) {
      const wanted = new Set(names);
      const loaded = await Promise.all(
        kinds.map((name) => (wanted.has(name) ? (registry.get(name) ?? define(name)) : undefined)),
      );
      // Others may have come in meanwhile.
      const all = kinds.map((name, k) => registry.get(name) ?? loaded[k]);
      registry.clear();
      for (const kind of all) if (kind) registry.set(kind.kind, kind);
    },
  };
}

const define = async (name: string) => (await defines[`./${name}/define.ts`]()).default;

/** The tag of the view of a kind, loaded when first needed; undefined for a kind that is not known. */
export async function viewOf(kind: string): Promise<string | undefined> {
  return kinds.includes(kind) ? (await views[`./${kind}/view.ts`]()).default : undefined;
}
