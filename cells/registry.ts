import type { CellKind, Registry } from "../src/graph/defineCell.ts";

/**
 * Every kind of cell, in the order in which they are offered. Adding a kind is a folder and a line here.
 * Each is loaded when first needed, so that a page starts with no more than its notebook asks for.
 */
interface Lazy {
  define(): Promise<CellKind>;
  /** Never loaded headless; its default export is the element's tag. */
  view(): Promise<{ default: string }>;
}

const kinds: Readonly<Record<string, Lazy>> = {
  target: {
    define: async () => (await import("./target/define.ts")).target,
    view: () => import("./target/view.ts"),
  },
  photo: {
    define: async () => (await import("./photo/define.ts")).photo,
    view: () => import("./photo/view.ts"),
  },
  fading: {
    define: async () => (await import("./fading/define.ts")).fading,
    view: () => import("./fading/view.ts"),
  },
  "pigment-set": {
    define: async () => (await import("./pigment-set/define.ts")).pigmentSet,
    view: () => import("./pigment-set/view.ts"),
  },
  viewing: {
    define: async () => (await import("./viewing/define.ts")).viewing,
    view: () => import("./viewing/view.ts"),
  },
  substrate: {
    define: async () => (await import("./substrate/define.ts")).substrate,
    view: () => import("./substrate/view.ts"),
  },
  "basecoat-blend": {
    define: async () => (await import("./basecoat-blend/define.ts")).basecoatBlend,
    view: () => import("./basecoat-blend/view.ts"),
  },
  recipe: {
    define: async () => (await import("./recipe/define.ts")).recipe,
    view: () => import("./recipe/view.ts"),
  },
  "coat-plan": {
    define: async () => (await import("./coat-plan/define.ts")).coatPlan,
    view: () => import("./coat-plan/view.ts"),
  },
  coverage: {
    define: async () => (await import("./coverage/define.ts")).coverage,
    view: () => import("./coverage/view.ts"),
  },
  "ratio-sweep": {
    define: async () => (await import("./ratio-sweep/define.ts")).ratioSweep,
    view: () => import("./ratio-sweep/view.ts"),
  },
  "what-if": {
    define: async () => (await import("./what-if/define.ts")).whatIf,
    view: () => import("./what-if/view.ts"),
  },
  "how-sure": {
    define: async () => (await import("./how-sure/define.ts")).howSure,
    view: () => import("./how-sure/view.ts"),
  },
  "ground-ranking": {
    define: async () => (await import("./ground-ranking/define.ts")).groundRanking,
    view: () => import("./ground-ranking/view.ts"),
  },
  "three-paints": {
    define: async () => (await import("./three-paints/define.ts")).threePaints,
    view: () => import("./three-paints/view.ts"),
  },
  "joint-plan": {
    define: async () => (await import("./joint-plan/define.ts")).jointPlanCell,
    view: () => import("./joint-plan/view.ts"),
  },
  "light-budget": {
    define: async () => (await import("./light-budget/define.ts")).budget,
    view: () => import("./light-budget/view.ts"),
  },
  "layer-picture": {
    define: async () => (await import("./layer-picture/define.ts")).layerPicture,
    view: () => import("./layer-picture/view.ts"),
  },
  "light-to-light": {
    define: async () => (await import("./light-to-light/define.ts")).lightToLight,
    view: () => import("./light-to-light/view.ts"),
  },
  "one-drop": {
    define: async () => (await import("./one-drop/define.ts")).oneDrop,
    view: () => import("./one-drop/view.ts"),
  },
  "weigh-out": {
    define: async () => (await import("./weigh-out/define.ts")).weighOut,
    view: () => import("./weigh-out/view.ts"),
  },
  correction: {
    define: async () => (await import("./correction/define.ts")).correction,
    view: () => import("./correction/view.ts"),
  },
  calibration: {
    define: async () => (await import("./calibration/define.ts")).calibration,
    view: () => import("./calibration/view.ts"),
  },
  question: {
    define: async () => (await import("./question/define.ts")).question,
    view: () => import("./question/view.ts"),
  },
  batch: {
    define: async () => (await import("./batch/define.ts")).batch,
    view: () => import("./batch/view.ts"),
  },
  "day-plan": {
    define: async () => (await import("./day-plan/define.ts")).dayPlan,
    view: () => import("./day-plan/view.ts"),
  },
  quote: {
    define: async () => (await import("./quote/define.ts")).quote,
    view: () => import("./quote/view.ts"),
  },
  "job-sheet": {
    define: async () => (await import("./job-sheet/define.ts")).jobSheet,
    view: () => import("./job-sheet/view.ts"),
  },
  "job-record": {
    define: async () => (await import("./job-record/define.ts")).jobRecord,
    view: () => import("./job-record/view.ts"),
  },
  note: {
    define: async () => (await import("./note/define.ts")).note,
    view: () => import("./note/view.ts"),
  },
};

/** A registry that grows: it holds the kinds that were needed so far, in the order in which they are offered. */
export interface GrowingRegistry {
  readonly registry: Registry;
  /** Load these kinds, or all; unknown names are passed over, their cells say so themselves. */
  need(names?: Iterable<string>): Promise<void>;
}

export function growingRegistry(): GrowingRegistry {
  const registry = new Map<string, CellKind>();
  return {
    registry,
    async need(names = Object.keys(kinds)) {
      const missing = [...new Set(names)].filter((name) => Object.hasOwn(kinds, name) && !registry.has(name));
      const loaded = await Promise.all(missing.map((name) => kinds[name].define()));
      const all = new Map([...registry, ...loaded.map((kind) => [kind.kind, kind] as const)]);
      registry.clear();
      for (const name of Object.keys(kinds)) {
        const kind = all.get(name);
        if (kind) registry.set(name, kind);
      }
    },
  };
}

/** The tag of the view of a kind, loaded when first needed; undefined for a kind that is not known. */
export async function viewOf(kind: string): Promise<string | undefined> {
  return Object.hasOwn(kinds, kind) ? (await kinds[kind].view()).default : undefined;
}
