import type { Component } from "../coating/component.ts";
import { pouringOrder } from "../coating/pouringOrder.ts";
import { buildWarning, type Coat, dryFromWet, totalDryBuild } from "../coating/thickness.ts";
import type { Coverage } from "../ports/coverage.ts";
import type { Substrate } from "../ports/substrate.ts";
import { cautions } from "../tables/cautions.ts";
import type {
  Batch,
  BatchLayer,
  BatchPart,
  BatchSettings,
  LayerKind,
  NeededComponent,
  PaintPlan,
  PlannedMix,
  ReadyLayer,
} from "./batch.ts";
import { cautionsFor } from "./cautions.ts";
import { containersFor } from "./containers.ts";
import {
  type Allowances,
  applicationMethods,
  checkTransfer,
  filmQuantity,
  type LayerQuantity,
  type MethodId,
  trueSurface,
  wipeQuantity,
} from "./layerQuantity.ts";
import { type PouredBatch, pourOut } from "./pouring.ts";
import { readyMixVoc } from "./readyMixVoc.ts";

/**
 * How much of everything a job needs.
 * @throws RangeError for a share, an area or an amount out of range
 */
export function batchOf(plan: PaintPlan, settings: BatchSettings): Batch {
  const parts = plan.parts.map(partOf);
  const surface = surfaceOf(parts);
  for (const { id, label } of applicationMethods)
    checkTransfer(`transfer of the ${label}`, settings.transfer[id]);
  const notes: string[] = [];
  const layers = [
    cleanerLayer(surface, settings),
    readyLayer("adhesion", "adhesion coat", settings.adhesion, parts, settings),
    plan.basecoat && mixedLayer("basecoat", "basecoat", plan.basecoat, parts, settings, notes),
    mixedLayer("colour", "colour", plan.colour, parts, settings, notes),
    readyLayer("clear", "clear coat", settings.clear, parts, settings),
  ].filter((layer) => layer !== undefined && layer.coats.length > 0) as BatchLayer[];
  const dryBuild = layers.reduce((sum, layer) => sum + layer.dryThickness + thickestMore(layer, parts), 0);
  const warning = buildWarning(dryBuild);
  if (warning) notes.push(`All layers together: ${warning}`);
  const spraying = layers.some(({ method }) => method !== undefined && method !== "sponge");
  return {
    settings,
    parts,
    pieces: parts.reduce((sum, part) => sum + part.count, 0),
    surface,
    layers,
    mixedVolume: layers.reduce(
      (sum, { kind, quantity }) =>
        kind === "basecoat" || kind === "colour" ? sum + quantity.ledger.dispensed : sum,
      0,
    ),
    needed: neededOf(layers),
    dryBuild,
    cautions: cautionsFor(
      {
        spraying,
        isocyanate: settings.isocyanate,
        solvent: settings.solvent,
        vehicle: settings.vehicle,
        children: settings.children,
      },
      cautions,
    ),
    notes,
  };
}

/** What a coverage paints. */
export function planOf(coverage: Coverage): PaintPlan {
  const { recipe, basecoat, colourCoats, parts } = coverage;
  return {
    parts: parts.map((part) => part.substrate),
    basecoat: basecoat && {
      components: basecoat.paints,
      volumes: basecoat.shares,
      mix: basecoat.mix,
      coats: repeated(basecoat.coats, basecoat.wetThickness),
    },
    colour: {
      components: recipe.components,
      volumes: recipe.volumes,
      mix: recipe.mix,
      coats: colourCoats.coats,
      ...(parts.some(({ substrate }) => substrate.moreCoats)
        ? { further: { kind: "heavy", wetThickness: colourCoats.heavyWet } }
        : {}),
    },
  };
}

function neededOf(layers: readonly BatchLayer[]): NeededComponent[] {
  const volumes = new Map<Component, number>();
  for (const { recipe } of layers) {
    recipe?.components.forEach((component, i) => {
      volumes.set(component, (volumes.get(component) ?? 0) + recipe.poured.amounts[i].volume);
    });
  }
  return [...volumes].map(([component, volume]) => ({
    component,
    volume,
    containers: component.containers?.length ? containersFor(volume, component.containers) : [],
  }));
}

function repeated(count: number, wetThickness: number): Coat[] {
  return Array.from({ length: count }, () => ({ kind: "heavy", wetThickness }));
}

function partOf(substrate: Substrate): BatchPart {
  const { name, count, area, moreCoats = 0 } = substrate;
  // A part that says nothing about its grain is smooth.
  const { textureFactor = 1, material = "" } = substrate as Substrate & {
    textureFactor?: number;
    material?: string;
  };
  return {
    name,
    count,
    area,
    textureFactor,
    material,
    moreCoats,
    surface: trueSurface(area, count, textureFactor),
  };
}

/** True surface of all parts, m². */
const surfaceOf = (parts: readonly BatchPart[]) => parts.reduce((sum, part) => sum + part.surface, 0);

/** Dry film that the part with the most further coats gets beyond the others, µm. */
function thickestMore({ further, volumeSolids }: BatchLayer, parts: readonly BatchPart[]): number {
  if (!further) return 0;
  return (
    Math.max(...parts.map(({ moreCoats }) => moreCoats)) * dryFromWet(further.wetThickness, volumeSolids)
  );
}

/** Dry film that the parts get beyond the coats of all, µm, on average over their surface. */
function meanMore(further: Coat, volumeSolids: number, parts: readonly BatchPart[]): number {
  const coats = parts.reduce((sum, part) => sum + part.moreCoats * part.surface, 0);
  return (coats / surfaceOf(parts)) * dryFromWet(further.wetThickness, volumeSolids);
}

function cleanerLayer(surface: number, { cleaner, allowances, containers }: BatchSettings): BatchLayer {
  const quantity = wipeQuantity({ ...allowances, ...cleaner, area: surface });
  return {
    kind: "cleaner",
    name: "cleaner",
    method: undefined,
    transferEfficiency: 1,
    coats: Array.from({ length: cleaner.passes }, () => ({ kind: "light", wetThickness: 0 })),
    further: undefined,
    dryThickness: 0,
    volumeSolids: 0,
    thinner: 0,
    quantity,
    recipe: undefined,
    containers: held(quantity, containers),
    voc: undefined,
  };
}

function readyLayer(
  kind: LayerKind,
  name: string,
  layer: ReadyLayer,
  parts: readonly BatchPart[],
  settings: BatchSettings,
): BatchLayer {
  const coats = repeated(layer.coats, layer.wetThickness);
  return filmLayer(kind, name, { coats }, layer.volumeSolids, layer, parts, settings);
}

function filmLayer(
  kind: LayerKind,
  name: string,
  { coats, further }: Pick<PlannedMix, "coats" | "further">,
  volumeSolids: number,
  { method, thinner }: { method: MethodId; thinner: number },
  parts: readonly BatchPart[],
  { transfer, allowances, containers }: BatchSettings,
): BatchLayer {
  const transferEfficiency = transfer[method];
  const dryThickness = totalDryBuild(coats, volumeSolids);
  const quantity = filmQuantity({
    ...(coats.length > 0 ? allowances : nothing(allowances)),
    area: surfaceOf(parts),
    dryThickness,
    moreThickness: further ? meanMore(further, volumeSolids, parts) : 0,
    volumeSolids,
    transferEfficiency,
    thinner,
  });
  return {
    kind,
    name,
    method,
    transferEfficiency,
    coats,
    further,
    dryThickness,
    volumeSolids,
    thinner,
    quantity,
    recipe: undefined,
    containers: held(quantity, containers),
    voc: undefined,
  };
}

const nothing = (allowances: Allowances): Allowances => ({ ...allowances, panelArea: 0, cupAndHose: 0 });

function mixedLayer(
  kind: LayerKind,
  name: string,
  { components, volumes, mix, coats, further }: PlannedMix,
  parts: readonly BatchPart[],
  settings: BatchSettings,
  notes: string[],
): BatchLayer {
  const chosen = kind === "basecoat" ? settings.basecoat : settings.colour;
  const layer = filmLayer(kind, name, { coats, further }, mix.volumeSolids, chosen, parts, settings);
  if (coats.length === 0) return layer;
  // What is not in the recipe does not stand on the sheet.
  const used = pouringOrder(components, volumes);
  const poured = pourOut(
    used.map((j) => components[j]),
    used.map((j) => volumes[j]),
    layer.quantity.mixVolume,
    settings.dispensing,
  );
  for (const note of poured.notes) notes.push(`In the ${name}, ${note}`);
  const quantity = withPoured(layer.quantity, poured, chosen.thinner);
  return {
    ...layer,
    quantity,
    recipe: {
      components: used.map((j) => components[j]),
      poured,
      ...costOf(
        used.map((j) => components[j]),
        used.map((j) => volumes[j]),
      ),
    },
    containers: held(quantity, settings.containers),
    voc: readyMixVoc({
      mixVolume: quantity.mixVolume,
      thinnerVolume: quantity.thinnerVolume,
      volumeSolids: mix.volumeSolids,
      ...settings.volatile,
    }),
  };
}

/** The ledger of what is really poured: rounding the components adds to rounding the whole. */
function withPoured(quantity: LayerQuantity, { volume }: PouredBatch, thinner: number): LayerQuantity {
  const dispensed = volume * (1 + thinner);
  const { ledger } = quantity;
  return {
    ...quantity,
    mixVolume: volume,
    thinnerVolume: volume * thinner,
    ledger: {
      ...ledger,
      rounding: ledger.rounding + dispensed - ledger.dispensed,
      dispensed,
    },
  };
}

function costOf(components: readonly Component[], volumes: ArrayLike<number>) {
  let cost = 0;
  let volume = 0;
  components.forEach(({ costPerMl = 0 }, j) => {
    cost += volumes[j] * costPerMl;
    volume += volumes[j];
  });
  return {
    costPerMl: cost / volume,
    withoutCost: components.filter(({ costPerMl }) => costPerMl === undefined).map(({ name }) => name),
  };
}

function held({ ledger }: LayerQuantity, sizes: readonly number[]) {
  return sizes.length > 0 ? containersFor(ledger.dispensed, sizes) : [];
}
