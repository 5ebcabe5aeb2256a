import type { Component } from "../coating/component.ts";
import type { Mix } from "../coating/mix.ts";
import type { Coat } from "../coating/thickness.ts";
import type { Coverage } from "../ports/coverage.ts";
import type { Substrate } from "../ports/substrate.ts";
import type { Caution } from "../tables/cautions.ts";
import type { UnitSystem } from "../units/units.ts";
import type { ContainerCount } from "./containers.ts";
import type { Allowances, LayerQuantity, MethodId } from "./layerQuantity.ts";
import type { PouredBatch, Pouring } from "./pouring.ts";

export type LayerKind = "cleaner" | "adhesion" | "basecoat" | "colour" | "clear";

/** A layer that is bought ready. */
export interface ReadyLayer {
  readonly coats: number;
  /** Wet thickness of one coat before thinning, µm. */
  readonly wetThickness: number;
  readonly volumeSolids: number;
  readonly thinner: number;
  readonly method: MethodId;
}

/** Everything that is chosen about a batch. Shares 0…1. */
export interface BatchSettings {
  readonly units: UnitSystem;
  readonly vehicle: boolean;
  readonly children: boolean;
  readonly isocyanate: boolean;
  readonly solvent: boolean;
  readonly cleaner: { readonly passes: number; readonly volumePerArea: number };
  readonly adhesion: ReadyLayer;
  readonly basecoat: { readonly thinner: number; readonly method: MethodId };
  readonly colour: { readonly thinner: number; readonly method: MethodId };
  readonly clear: ReadyLayer;
  readonly transfer: Readonly<Record<MethodId, number>>;
  readonly allowances: Allowances;
  readonly dispensing: Pouring;
  /** Sizes of cups and cans, mL. */
  readonly containers: readonly number[];
  readonly volatile: {
    readonly waterShare: number;
    readonly thinnerWaterShare: number;
    readonly solventDensity: number;
  };
}

/** What is painted on what: enough to plan a batch. */
export interface PaintPlan {
  readonly parts: readonly Substrate[];
  readonly basecoat: PlannedMix | undefined;
  readonly colour: PlannedMix;
}

/** A mix and the coats it is laid in. */
export interface PlannedMix {
  readonly components: readonly Component[];
  /** Wet amounts of the recipe; only their ratio counts. */
  readonly volumes: ArrayLike<number>;
  readonly mix: Pick<Mix, "volumeSolids" | "density">;
  readonly coats: readonly Coat[];
  /** What a part gets `moreCoats` of beyond those, where any part gets more. */
  readonly further?: Coat;
}

export interface BatchPart {
  readonly name: string;
  readonly count: number;
  /** Outline of one, m². */
  readonly area: number;
  readonly textureFactor: number;
  readonly material: string;
  /** True surface of all of them, m². */
  readonly surface: number;
  /** Colour coats beyond those that all parts get. */
  readonly moreCoats: number;
}

export interface BatchLayer {
  readonly kind: LayerKind;
  readonly name: string;
  /** Undefined for the cleaner, which is wiped. */
  readonly method: MethodId | undefined;
  readonly transferEfficiency: number;
  /** What every part gets. */
  readonly coats: readonly Coat[];
  /** What a part gets `moreCoats` of beyond those, where any part gets more. */
  readonly further: Coat | undefined;
  /** Of all coats that every part gets, µm. */
  readonly dryThickness: number;
  readonly volumeSolids: number;
  readonly thinner: number;
  readonly quantity: LayerQuantity;
  /** What goes into the pot, for layers that are mixed here. */
  readonly recipe: LayerRecipe | undefined;
  readonly containers: readonly ContainerCount[];
  /** g/L as sprayed; undefined for layers whose make-up is not known here. */
  readonly voc: { readonly material: number; readonly lessWater: number | undefined } | undefined;
}

interface LayerRecipe {
  readonly components: readonly Component[];
  readonly poured: PouredBatch;
  /** Cost of the mix, money/mL; components without a cost count as nothing and are named. */
  readonly costPerMl: number;
  readonly withoutCost: readonly string[];
}

/** How much of a component the whole job takes. */
export interface NeededComponent {
  readonly component: Component;
  /** mL */
  readonly volume: number;
  /** Containers to have of it; none where the shelf does not say the sizes it is sold in. */
  readonly containers: readonly ContainerCount[];
}

/** How much of everything a job needs, and where it goes. */
export interface Batch {
  readonly settings: BatchSettings;
  readonly parts: readonly BatchPart[];
  readonly pieces: number;
  /** True surface of all parts, m². */
  readonly surface: number;
  /** In the order in which they are laid; layers without coats are left out. */
  readonly layers: readonly BatchLayer[];
  /** Basecoat and colour ready to spray, mL: what is mixed for this colour. */
  readonly mixedVolume: number;
  /** What goes into the pots of all layers together, in the order in which it is first poured. */
  readonly needed: readonly NeededComponent[];
  /** Dry film of all layers on the part where it is thickest, µm. */
  readonly dryBuild: number;
  readonly cautions: readonly Caution[];
  /** Things worth knowing, in words. */
  readonly notes: readonly string[];
}

/** A batch with the coverage it was planned from. */
export interface JobBatch extends Batch {
  readonly coverage: Coverage;
}

/** The layer of a kind, when it is laid. */
export function layerOf(batch: Batch, kind: LayerKind): BatchLayer | undefined {
  return batch.layers.find((layer) => layer.kind === kind);
}

/** Coats of each part in a layer, in the order of the parts. */
export function coatCounts({ coats, further }: BatchLayer, parts: readonly BatchPart[]): number[] {
  return parts.map(({ moreCoats }) => coats.length + (further ? moreCoats : 0));
}

/** How many coats of a layer the parts get, in words: "4", or "4 to 6" where they differ. */
export function coatsSaid(batch: Batch, kind: LayerKind): string {
  const layer = layerOf(batch, kind);
  if (!layer) return "0";
  const counts = coatCounts(layer, batch.parts);
  const [least, most] = [Math.min(...counts), Math.max(...counts)];
  return least === most ? String(least) : `${least} to ${most}`;
}
