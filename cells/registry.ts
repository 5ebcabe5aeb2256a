import type { CellKind, Registry } from "../src/graph/defineCell.ts";

/**
 * Every kind of cell, in the order in which they are offered. Adding a kind is a folder and a line here.
 * Each is loaded when first needed, so that a page starts with no more than its notebook asks for.
 */
const kinds: Readonly<Record<string, () => Promise<CellKind>>> = {
  target: async () => (await import("./target/define.ts")).target,
  photo: async () => (await import("./photo/define.ts")).photo,
  fading: async () => (await import("./fading/define.ts")).fading,
  "pigment-set": async () => (await import("./pigment-set/define.ts")).pigmentSet,
  viewing: async () => (await import("./viewing/define.ts")).viewing,
  substrate: async () => (await import("./substrate/define.ts")).substrate,
  "basecoat-blend": async () => (await import("./basecoat-blend/define.ts")).basecoatBlend,
  recipe: async () => (await import("./recipe/define.ts")).recipe,
  "coat-plan": async () => (await import("./coat-plan/define.ts")).coatPlan,
  coverage: async () => (await import("./coverage/define.ts")).coverage,
  "ratio-sweep": async () => (await import("./ratio-sweep/define.ts")).ratioSweep,
  "what-if": async () => (await import("./what-if/define.ts")).whatIf,
  "how-sure": async () => (await import("./how-sure/define.ts")).howSure,
  "ground-ranking": async () => (await import("./ground-ranking/define.ts")).groundRanking,
  "three-paints": async () => (await import("./three-paints/define.ts")).threePaints,
  "joint-plan": async () => (await import("./joint-plan/define.ts")).jointPlanCell,
  "light-budget": async () => (await import("./light-budget/define.ts")).budget,
  "layer-picture": async () => (await import("./layer-picture/define.ts")).layerPicture,
  "light-to-light": async () => (await import("./light-to-light/define.ts")).lightToLight,
  "one-drop": async () => (await import("./one-drop/define.ts")).oneDrop,
  "weigh-out": async () => (await import("./weigh-out/define.ts")).weighOut,
  correction: async () => (await import("./correction/define.ts")).correction,
  calibration: async () => (await import("./calibration/define.ts")).calibration,
  question: async () => (await import("./question/define.ts")).question,
  batch: async () => (await import("./batch/define.ts")).batch,
  "day-plan": async () => (await import("./day-plan/define.ts")).dayPlan,
  quote: async () => (await import("./quote/define.ts")).quote,
  "job-sheet": async () => (await import("./job-sheet/define.ts")).jobSheet,
  "job-record": async () => (await import("./job-record/define.ts")).jobRecord,
  note: async () => (await import("./note/define.ts")).note,
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
      const loaded = await Promise.all(missing.map((name) => kinds[name]()));
      const all = new Map([...registry, ...loaded.map((kind) => [kind.kind, kind] as const)]);
      registry.clear();
      for (const name of Object.keys(kinds)) {
        const kind = all.get(name);
        if (kind) registry.set(name, kind);
      }
    },
  };
}
