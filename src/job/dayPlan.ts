import { type Batch, type BatchLayer, coatCounts, type LayerKind } from "./batch.ts";
import {
  type CoatStep,
  coatMinutes,
  coveringRate,
  type GunStroke,
  type LayerStep,
  planWork,
  type WorkPlan,
} from "./workPlan.ts";

/** How fast the work goes; minutes, shares 0…1. */
export interface PaceSettings {
  readonly stroke: GunStroke;
  /** m²/min with sponge or pad. */
  readonly spongeRate: number;
  /** Turning and handing one piece, for each coat. */
  readonly turning: number;
  /** Cleaning, masking and checking, min/m². */
  readonly preparation: number;
  readonly flashOff: Readonly<{
    cleaner: number;
    adhesion: number;
    basecoat: number;
    light: number;
    heavy: number;
    clear: number;
  }>;
  /** Until parts may be handled. */
  readonly cure: number;
  /** Weighing, stirring and straining a mix. */
  readonly mixing: number;
  /** Cleaning the gun after a layer. */
  readonly gunCleaning: number;
  /** Minutes after midnight at which work begins. */
  readonly startOfDay: number;
  /** Minutes of work in a day. */
  readonly dayLength: number;
}

/** The work laid out over the day. */
export interface DayPlan {
  readonly batch: Batch;
  readonly pace: PaceSettings;
  readonly plan: WorkPlan;
  /** Minutes of work for each layer laid, mixing and cleaning included. */
  readonly minutes: ReadonlyMap<LayerKind, number>;
  /** Minutes of spraying and wiping alone. */
  readonly laying: number;
}

/**
 * Lays out the work of a batch: one group for each kind of part.
 * @throws RangeError for a pace out of range
 */
export function dayPlanOf(batch: Batch, pace: PaceSettings): DayPlan {
  const layers = batch.layers.map((layer) => layerStep(layer, batch, pace));
  const plan = planWork(layers, batch.parts.length, pace.cure, { length: pace.dayLength });
  const minutes = new Map<LayerKind, number>();
  let laying = 0;
  batch.layers.forEach((layer, i) => {
    const coats = layers[i].coats.reduce((sum, coat) => sum + coat.minutes.reduce((a, b) => a + b, 0), 0);
    minutes.set(layer.kind, layers[i].setUp + coats + layers[i].cleanUp);
    laying += coats;
  });
  return { batch, pace, plan, minutes, laying };
}

function layerStep(layer: BatchLayer, batch: Batch, pace: PaceSettings): LayerStep {
  if (layer.kind === "cleaner") {
    // Preparing takes its time once, however often the cleaner is wiped on.
    const share = 1 / layer.coats.length;
    return {
      layer: layer.name,
      setUp: 0,
      cleanUp: 0,
      coats: layer.coats.map((_, i) => ({
        label: layer.coats.length === 1 ? "clean" : `clean ${i + 1}`,
        minutes: batch.parts.map((part) => part.surface * pace.preparation * share),
        flashOff: pace.flashOff.cleaner,
      })),
    };
  }
  const counts = coatCounts(layer, batch.parts);
  const coats = Array.from({ length: Math.max(...counts) }, (_, i) => layer.coats[i] ?? layer.further!);
  const rate = layer.method === "sponge" ? pace.spongeRate : coveringRate(pace.stroke);
  return {
    layer: layer.name,
    setUp: pace.mixing,
    cleanUp: layer.method === "sponge" ? 0 : pace.gunCleaning,
    counts,
    coats: coats.map(
      (coat, i): CoatStep => ({
        label: coats.length === 1 ? layer.name : `${layer.name} ${i + 1}`,
        // The gun passes over the outline; grain takes more paint, not more strokes.
        minutes: batch.parts.map((part, p) =>
          i < counts[p] ? coatMinutes(part.area * part.count, part.count, rate, pace.turning) : 0,
        ),
        flashOff: flashOffOf(layer.kind, coat.kind, pace),
      }),
    ),
  };
}

function flashOffOf(layer: LayerKind, coat: "light" | "heavy", { flashOff }: PaceSettings): number {
  return layer === "colour" ? flashOff[coat] : flashOff[layer];
}

/**
 * Minutes for one round of finding a colour: mixing, spraying a test panel coat by coat with its flash-offs, drying and
 * comparing. Layers that every colour gets are left out.
 */
export function trialMinutes(batch: Batch, pace: PaceSettings, comparing: number): number {
  let minutes = comparing;
  for (const layer of batch.layers) {
    if (layer.kind !== "basecoat" && layer.kind !== "colour") continue;
    minutes += pace.mixing;
    for (const coat of layer.coats) minutes += 1 + flashOffOf(layer.kind, coat.kind, pace);
  }
  return minutes;
}
