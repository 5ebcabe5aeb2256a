import type { Quantity } from "../graph/quantity.ts";
import { amount } from "../ports/quantities.ts";
import { type JobBatch, layerOf } from "./batch.ts";
import type { DayPlan } from "./dayPlan.ts";
import type { Quote } from "./quote.ts";

/** The named numbers of a batch. */
export function batchQuantities(batch: JobBatch): Quantity[] {
  const ready = (kind: "basecoat" | "colour") => layerOf(batch, kind)?.quantity.ledger.dispensed ?? 0;
  const colour = layerOf(batch, "colour")?.quantity.ledger;
  return [
    amount("surface", "surface to coat, grain included", batch.surface, "m²", 2),
    amount("colour-volume", "colour to mix", ready("colour"), "mL", 0),
    amount("basecoat-volume", "basecoat to mix", ready("basecoat"), "mL", 0),
    amount("mixed-volume", "colour and basecoat to mix", batch.mixedVolume, "mL", 0),
    amount(
      "on-parts",
      "share of the colour that ends up on the parts",
      colour && (100 * colour.onParts) / colour.dispensed,
      "%",
    ),
    amount("dry-build", "dry film of all layers", batch.dryBuild, "µm"),
  ];
}

/** The named numbers of a day plan. */
export function dayQuantities({ plan, laying }: DayPlan): Quantity[] {
  return [
    amount("work-hours", "work on the parts", plan.handsOn / 60, "h", 2),
    amount("laying-hours", "spraying and wiping alone", laying / 60, "h", 2),
    amount("waiting-hours", "waiting", plan.waiting / 60, "h", 2),
    amount("days", "working days", plan.days, "days", 0),
  ];
}

/** The named numbers of a quote, in its own currency. */
export function quoteQuantities({ job, comparison, rates }: Quote): Quantity[] {
  const ratio = (name: string, label: string, value: number | undefined): Quantity => ({
    ...amount(name, label, value, "times", 2),
    none: "not known without a colour to compare with",
  });
  return [
    amount("net", "price before tax", job.price.net, rates.currency, 2),
    amount("total", "price with tax", job.price.total, rates.currency, 2),
    amount("materials", "materials", job.price.materials, rates.currency, 2),
    ratio("price-ratio", "price beside a colour that hides well", comparison?.priceRatio),
    ratio("volume-ratio", "mixed volume beside a colour that hides well", comparison?.volumeRatio),
    ratio("time-ratio", "hours beside a colour that hides well", comparison?.timeRatio),
  ];
}
