import { inParts } from "../coating/blend.ts";
import { seenFromMeasured } from "../coating/eye.ts";
import type { Coat } from "../coating/thickness.ts";
import { displayColour } from "../colour/display.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import { type BatchLayer, type BatchPart, type JobBatch, layerOf } from "../job/batch.ts";
import type { DayPlan } from "../job/dayPlan.ts";
import { amountText, unitText } from "../job/pouring.ts";
import { moneyText } from "../job/price.ts";
import type { Quote } from "../job/quote.ts";
import { clockText } from "../job/workPlan.ts";
import type { Coverage } from "../ports/coverage.ts";
import { eyeConditions } from "../ports/seenTarget.ts";
import { durationText, measureText, toShown, type UnitSystem } from "../units/units.ts";
import { fixed } from "../words/fixed.ts";
import { plural } from "../words/plural.ts";
import { shortened } from "./paper.ts";

/** What a person writes on the sheet. */
interface SheetWords {
  readonly title: string;
  readonly customer: string;
  readonly date: string;
  readonly by: string;
  readonly remarks: string;
}

interface SheetPanel {
  readonly name: string;
  readonly figure: string;
  /** CSS colours side by side. */
  readonly colours: readonly string[];
}

interface SheetLayer {
  readonly name: string;
  readonly coats: string;
  readonly dry: string;
  readonly method: string;
  readonly mix: string;
  readonly thinner: string;
  readonly flashOff: string;
}

export interface SheetRecipe {
  readonly name: string;
  /** For a blend: its ratio in parts. */
  readonly parts: string;
  readonly unit: string;
  readonly rows: readonly { readonly name: string; readonly amount: string; readonly running: string }[];
  readonly total: string;
}

interface SheetPart {
  readonly name: string;
  readonly size: string;
  readonly predicted: string;
}

/** Everything that stands on a job sheet, as text. */
export interface JobSheet {
  readonly words: SheetWords;
  readonly units: UnitSystem;
  readonly panels: readonly SheetPanel[];
  readonly layers: readonly SheetLayer[];
  readonly recipes: readonly SheetRecipe[];
  readonly parts: readonly SheetPart[];
  /** Kinds of part for which there is no row, in words. */
  readonly furtherParts: string;
  readonly conditions: string;
  readonly time: string;
  readonly price: string;
  readonly cautions: readonly string[];
}

/** Kinds of part with a row of their own; the rest are summed up in one line. */
const mostParts = 14;
const mostPanels = 6;
/** Kinds of part named in the row of a layer. */
const mostNamed = 3;

/** Gather what a job sheet shows. */
export function jobSheetOf(
  batch: JobBatch,
  day: DayPlan | undefined,
  quote: Quote | undefined,
  words: SheetWords,
): JobSheet {
  const { coverage, settings } = batch;
  const { viewing, parts } = coverage;
  const { units } = settings;
  const rows = parts.slice(0, parts.length > mostParts ? mostParts - 1 : mostParts);
  const rest = batch.parts.slice(rows.length);
  return {
    words,
    units,
    panels: panelsOf(batch),
    layers: batch.layers.map((layer) => layerRow(layer, batch, day)),
    recipes: (["basecoat", "colour"] as const).flatMap((kind) => {
      const layer = layerOf(batch, kind);
      return layer?.recipe ? [recipeOf(layer, batch)] : [];
    }),
    parts: rows.map((part, i) => {
      const { count, area, textureFactor, material, moreCoats } = batch.parts[i];
      const grain = textureFactor > 1 ? `, grain × ${textureFactor.toFixed(2)}` : "";
      return {
        name: part.substrate.name,
        size: shortened(
          `${count} × ${measureText(area, "area", units)}${grain}${moreCoats > 0 ? `, ${part.painted.coats} colour coats` : ""}${material ? `, ${material}` : ""}`,
          60,
        ),
        predicted:
          part.painted.difference === undefined
            ? "–"
            : `${viewing.formula} ${part.painted.difference.toFixed(2)}`,
      };
    }),
    furtherParts:
      rest.length === 0
        ? ""
        : `and ${rest.length} more kinds of part: ${rest.reduce((sum, part) => sum + part.count, 0)} pieces, ` +
          measureText(
            rest.reduce((sum, part) => sum + part.surface, 0),
            "area",
            units,
          ),
    conditions: conditionsOf(batch),
    time: day
      ? `${durationText(day.plan.handsOn)} of work on the parts, done at ${clockText(day.pace.startOfDay, day.plan.workEnds)}, cured at ${clockText(day.pace.startOfDay, day.plan.cured)}`
      : "",
    price: quote ? priceText(quote) : "",
    cautions: batch.cautions.map((caution) => caution.short),
  };
}

function priceText({ job, rates, withoutCost }: Quote): string {
  const without =
    withoutCost.length > 0 ? `, without ${shortened(withoutCost.join(", "), 60)} (no cost known)` : "";
  return `${moneyText(job.price.total, rates.currency)} with tax${without}`;
}

function conditionsOf({ coverage, surface, pieces, settings }: JobBatch): string {
  const { viewing } = coverage;
  const target = coverage.targetSeen
    ? `Target: ${shortened(coverage.targetSeen.label, 60)}, ${LabOfTarget(coverage)}; passes`
    : "Passes";
  return (
    `${plural(pieces, "piece")}, ${measureText(surface, "area", settings.units)} with grain. ` +
    `${target} up to ${viewing.formula} ${viewing.tolerance} in ${viewing.weights.illuminant}, ` +
    `${viewing.weights.observer.endsWith("-2") ? "2°" : "10°"} observer.`
  );
}

/** The target as it was read: what stands in its cell and on the instrument. */
function LabOfTarget({ target, viewing }: Coverage): string {
  const [L, a, b] =
    target?.kind === "lab"
      ? target.Lab
      : reflectanceToLab(target!.reflectance, viewing.weights, new Float64Array(3));
  return `L* ${fixed(L, 1)} a* ${fixed(a, 1)} b* ${fixed(b, 1)}`;
}

function panelsOf({ coverage }: JobBatch): SheetPanel[] {
  const { viewing, targetSeen, parts } = coverage;
  const css = (XYZ: ArrayLike<number>) => displayColour(XYZ, viewing.weights.white, viewing.gamut).css;
  const byMiss = [...parts].sort((a, b) => (b.painted.difference ?? 0) - (a.painted.difference ?? 0));
  const shown = byMiss.slice(0, targetSeen ? mostPanels - 1 : mostPanels);
  const panels = shown.map((part): SheetPanel => {
    const before = seenFromMeasured(part.substrate.measured, "included", eyeConditions(viewing));
    return {
      name: part.substrate.name,
      figure: "before · after",
      colours: [css(before.XYZ), css(part.painted.XYZ)],
    };
  });
  return targetSeen
    ? [{ name: "Target", figure: targetSeen.label, colours: [css(targetSeen.XYZ)] }, ...panels]
    : panels;
}

function layerRow(
  layer: BatchLayer,
  { parts, settings: { units } }: JobBatch,
  day: DayPlan | undefined,
): SheetLayer {
  const { quantity, thinner } = layer;
  const volume = (mL: number) => measureText(mL, "volume", units);
  return {
    name: layer.name,
    coats: coatsText(layer, parts, units),
    dry: layer.dryThickness > 0 ? measureText(layer.dryThickness, "thickness", units) : "–",
    method: layer.method === undefined ? "cloth" : methodText(layer.method),
    mix: volume(quantity.mixVolume),
    thinner: thinner > 0 ? `${volume(quantity.thinnerVolume)} (${(100 * thinner).toFixed(0)} %)` : "–",
    flashOff: day ? flashOffText(layer, day) : "",
  };
}

const methodNames = { hvlp: "HVLP gun", gun: "cup gun", airbrush: "airbrush", sponge: "sponge" } as const;
const methodText = (method: keyof typeof methodNames) => methodNames[method];

/** "2 light 15 µm, 2 heavy 30 µm wet; 2 more on Bolster": as sprayed, thinner included. */
export function coatsText(
  { kind, coats, further, thinner }: BatchLayer,
  parts: readonly BatchPart[],
  units: UnitSystem,
): string {
  if (kind === "cleaner") return coats.length === 1 ? "wipe once" : `wipe ${coats.length} times`;
  const groups: { kind: string; wet: number; count: number }[] = [];
  for (const coat of coats) {
    const last = groups[groups.length - 1];
    if (last && last.kind === coat.kind && last.wet === coat.wetThickness) last.count++;
    else groups.push({ kind: coat.kind, wet: coat.wetThickness, count: 1 });
  }
  return `${groups
    .map(({ kind: weight, wet, count }) => {
      const word = kind === "colour" ? `${weight} ` : "";
      return `${count} ${word}× ${wetText(wet * (1 + thinner), units)}`;
    })
    .join(", ")} wet${further ? furtherText(further, parts, thinner, units) : ""}`;
}

function furtherText(
  { wetThickness }: Coat,
  parts: readonly BatchPart[],
  thinner: number,
  units: UnitSystem,
) {
  const more = parts.filter(({ moreCoats }) => moreCoats > 0);
  // A row of the sheet has room for few names; every part's own number stands with the parts.
  if (more.length > mostNamed)
    return `; on ${more.length} kinds of part more × ${wetText(wetThickness * (1 + thinner), units)}`;
  return more
    .map(
      ({ name, moreCoats }) =>
        `; on ${shortened(name, 30)} ${moreCoats} more × ${wetText(wetThickness * (1 + thinner), units)}`,
    )
    .join("");
}

function wetText(wet: number, units: UnitSystem): string {
  return units === "metric" ? `${Math.round(wet)} µm` : `${toShown(wet, "thickness", units).toFixed(1)} mil`;
}

function flashOffText({ kind, coats, further }: BatchLayer, { pace }: DayPlan): string {
  if (kind !== "colour") return `${pace.flashOff[kind]} min`;
  const kinds = new Set([...coats, ...(further ? [further] : [])].map((coat) => coat.kind));
  const times = [...kinds].map((each) => pace.flashOff[each]);
  return `${[...new Set(times)].join(" / ")} min`;
}

function recipeOf(
  { kind, name, recipe, quantity }: BatchLayer,
  { coverage, settings }: JobBatch,
): SheetRecipe {
  const { components, poured } = recipe!;
  const { step } = settings.dispensing;
  const single = new Set(poured.amounts.map(({ unit }) => unit)).size === 1;
  return {
    name: kind === "colour" ? "Colour" : name === "basecoat" ? "Basecoat" : name,
    parts: kind === "basecoat" && coverage.basecoat ? partsText(coverage.basecoat.shares) : "",
    unit: single ? unitText(poured.amounts[0].unit) : "",
    rows: components.map((component, i) => {
      const { amount, cumulativeAmount, unit } = poured.amounts[i];
      const suffix = single ? "" : ` ${unitText(unit)}`;
      return {
        name: component.colourIndex ? `${component.name} (${component.colourIndex})` : component.name,
        amount: amountText(amount, unit, step) + suffix,
        running: amountText(cumulativeAmount, unit, step) + suffix,
      };
    }),
    total: `${measureText(quantity.mixVolume, "volume", settings.units)}, ${measureText(poured.mass, "mass", settings.units)}`,
  };
}

/** Ratio of a blend in parts: "1 part to 4" for two paints, shares for more. */
export function partsText(shares: ArrayLike<number>): string {
  if (shares.length === 2) return inParts(shares[1]);
  return Array.from(shares, (share) => `${(100 * share).toFixed(0)} %`).join(" : ");
}
