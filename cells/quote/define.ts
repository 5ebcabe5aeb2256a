import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { JobBatch } from "../../src/job/batch.ts";
import { mostCoats, wellHidingGrey } from "../../src/job/counterpart.ts";
import type { DayPlan } from "../../src/job/dayPlan.ts";
import { defineJobCell } from "../../src/job/defineJobCell.ts";
import { quoteQuantities } from "../../src/job/jobQuantities.ts";
import { moneyText } from "../../src/job/price.ts";
import { type CustomerQuote, type QuoteRates, quoteOf } from "../../src/job/quote.ts";
import type { Recipe } from "../../src/ports/recipe.ts";
import { durationsText, durationText } from "../../src/units/units.ts";
import { plural } from "../../src/words/plural.ts";

export interface QuoteInputs {
  day: DayPlan & { readonly batch: JobBatch };
  compared: Recipe | undefined;
}

const money = (label: string, unit: string, initial: number, help = "") =>
  ({ type: "number", label, unit, help, min: 0, max: 1_000_000, step: 1, digits: 2, initial }) as const;

const parameters = {
  customer: { type: "text", label: "Customer and job", initial: "", maxLength: 120 },
  currency: {
    type: "text",
    label: "Currency",
    help: "Plain text, as it shall stand beside the numbers.",
    initial: "€",
    maxLength: 8,
  },
  labourPerHour: money("Labour", "per hour", 60),
  markup: {
    type: "number",
    label: "Mark-up on materials",
    unit: "%",
    min: 0,
    max: 500,
    step: 5,
    initial: 30,
  },
  tax: { type: "number", label: "Tax", unit: "%", min: 0, max: 100, step: 1, digits: 2, initial: 20 },
  cleanerPerLitre: money("Cleaner", "per L", 12),
  adhesionPerLitre: money("Adhesion coat", "per L", 45),
  clearPerLitre: money("Clear coat", "per L", 55),
  thinnerPerLitre: money("Thinner", "per L", 8),
  sundriesPerLayer: money("Sundries for each layer", "", 4, "Strainers, cups, masking, filters."),
  wastePerLitre: money("Taking rests away", "per L", 3),
  trialsPerMix: {
    type: "number",
    label: "Rounds of test panels for each mix",
    help: "A colour over a blended ground has two mixes to find, a colour that hides has one (common practice: 2 rounds each).",
    min: 0,
    max: 20,
    step: 1,
    initial: 2,
  },
  comparedName: {
    type: "text",
    label: "Name of the colour beside it",
    help: "Of the linked colour that hides well; empty: the linked colour.",
    initial: "",
    maxLength: 60,
  },
  comparing: {
    type: "number",
    label: "Looking and deciding in a round",
    unit: "min",
    min: 0,
    max: 240,
    step: 5,
    initial: 15,
  },
} as const;

export const quote = defineJobCell({
  kind: "quote",
  label: "Quote",
  about:
    "The price from your own rates, line by line, in any currency. " +
    "Beside it the same job in a colour that hides well, so that you can say why this one costs more.",
  inputs: {
    day: { type: "day-plan", label: "Day plan" },
    compared: { type: "recipe", label: "A colour that hides well", optional: true },
  },
  output: "quote",
  parameters,
  compute: ({ day, compared }, p, { note }): CustomerQuote => {
    const { coverage } = day.batch;
    // The job's own recipe says nothing beside itself.
    const other =
      compared && compared !== coverage.recipe
        ? { name: p.comparedName.trim() || "the linked colour", mix: compared }
        : wellHidingGrey(coverage.recipe.available, coverage);
    if (compared && compared === coverage.recipe)
      note("The linked colour is the job's own: a mid grey from the shelf is compared instead");
    if (!other) note("Nothing to compare with: link a recipe of a colour that hides well");
    const { quote, counterpart } = quoteOf(day, ratesFrom(p), other);
    if (other && !counterpart)
      note(`${other.name} does not hide within ${mostCoats} coats: link another colour to compare with`);
    if (quote.withoutCost.length > 0)
      note(`No cost is known for ${quote.withoutCost.join(", ")}: it counts as nothing here`);
    return { ...quote, customer: p.customer };
  },
  quantities: quoteQuantities,
  verdict: ({ rates, job, comparison, withoutCost }) => {
    const { price } = job;
    const money = (amount: number) => moneyText(amount, rates.currency);
    const figure = money(price.total);
    return {
      text:
        `${figure} with tax, ${money(price.net)} before it: ${durationText(price.minutes)} of work (${hoursOf(job)}) and ${money(price.materials)} of materials.` +
        (withoutCost.length > 0 ? ` Not in it: ${withoutCost.join(", ")}, of no known cost.` : "") +
        (comparison
          ? ` That is ${comparison.priceRatio.toFixed(1)} times the price of the same job in ${comparison.name}, and ${comparison.volumeRatio.toFixed(1)} times the mixed volume.`
          : ""),
      figure,
    };
  },
  summarise: ({ rates, job, comparison }) => ({
    currency: rates.currency,
    net: job.price.net,
    tax: job.price.tax,
    total: job.price.total,
    hours: job.price.minutes / 60,
    materials: job.price.materials,
    lines: job.price.lines.map(({ id, materials, minutes, price }) => ({ id, materials, minutes, price })),
    comparison: comparison && {
      name: comparison.name,
      coats: comparison.coats,
      net: comparison.job.price.net,
      priceRatio: comparison.priceRatio,
      volumeRatio: comparison.volumeRatio,
      timeRatio: comparison.timeRatio,
      reasons: comparison.reasons.map(({ id, price }) => ({ id, price })),
    },
  }),
});

export default quote;

/** The hours of the day plan and those of finding the colour, which happen on other days. */
function hoursOf({ day, trials, trialMinutes, mixesToFind }: CustomerQuote["job"]): string {
  const parts = durationsText([day.plan.handsOn, trials * trialMinutes]);
  if (trials === 0) return `${parts[0]} on the parts`;
  return `${parts[0]} on the parts, ${parts[1]} to find the colour: ${plural(trials, "round")} for ${plural(mixesToFind, "mix", "mixes")}`;
}

function ratesFrom(p: ParameterValues<typeof parameters>): QuoteRates {
  return {
    currency: p.currency,
    labourPerHour: p.labourPerHour,
    markup: p.markup / 100,
    tax: p.tax / 100,
    cleanerPerLitre: p.cleanerPerLitre,
    adhesionPerLitre: p.adhesionPerLitre,
    clearPerLitre: p.clearPerLitre,
    thinnerPerLitre: p.thinnerPerLitre,
    sundriesPerLayer: p.sundriesPerLayer,
    wastePerLitre: p.wastePerLitre,
    trialsPerMix: p.trialsPerMix,
    comparing: p.comparing,
  };
}
