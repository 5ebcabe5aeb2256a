import { inventedPrices } from "../coating/invented.ts";
import { type Batch, type BatchLayer, type JobBatch, type LayerKind, layerOf } from "./batch.ts";
import { type ComparedMix, type Counterpart, counterpartOf } from "./counterpart.ts";
import { type DayPlan, dayPlanOf, trialMinutes } from "./dayPlan.ts";
import {
  type CostedJob,
  type CostLine,
  type Price,
  priceOf,
  printedPrice,
  printedReasons,
  type Rates,
  type Reason,
  reasonsFor,
} from "./price.ts";

/** What things cost; money in any one currency, plain text. */
export interface QuoteRates extends Rates {
  readonly currency: string;
  /** Money for a litre. */
  readonly cleanerPerLitre: number;
  readonly adhesionPerLitre: number;
  readonly clearPerLitre: number;
  readonly thinnerPerLitre: number;
  /** Strainers, cups, masking, filters, for each layer. */
  readonly sundriesPerLayer: number;
  /** Taking mixed rests away, money for a litre left over. */
  readonly wastePerLitre: number;
  /** Rounds of test panels for each mix that has to be found. */
  readonly trialsPerMix: number;
  /** Minutes of looking, measuring and deciding in a round. */
  readonly comparing: number;
}

interface QuotedJob {
  readonly batch: Batch;
  readonly day: DayPlan;
  readonly price: Price;
  readonly costed: CostedJob;
  /** Rounds of test panels in all, and minutes of one. */
  readonly trials: number;
  readonly trialMinutes: number;
  /** Mixes that have to be found. */
  readonly mixesToFind: number;
}

export interface Comparison {
  readonly name: string;
  readonly coats: number;
  readonly job: QuotedJob;
  /** Net price, mixed volume, hours of this job ÷ of the compared one. */
  readonly priceRatio: number;
  readonly volumeRatio: number;
  readonly timeRatio: number;
  readonly reasons: readonly Reason[];
}

export interface Quote {
  readonly batch: JobBatch;
  readonly rates: QuoteRates;
  readonly job: QuotedJob;
  readonly comparison: Comparison | undefined;
  /** Components whose cost is not known and counts as nothing. */
  readonly withoutCost: readonly string[];
  /** Those of them that a calibration made: it asks for density and cost. */
  readonly calibrated: readonly string[];
  /** Components whose cost is invented. */
  readonly inventedCost: readonly string[];
}

/** A quote, and for whom it is. */
export interface CustomerQuote extends Quote {
  readonly customer: string;
}

/**
 * Price of a job, and of the same job in a colour that hides well.
 * @throws RangeError for a negative rate or time
 */
export function quoteOf(
  day: DayPlan & { readonly batch: JobBatch },
  rates: QuoteRates,
  compared: { name: string; mix: ComparedMix } | undefined,
): { quote: Quote; counterpart: Counterpart | undefined } {
  const { batch } = day;
  const job = quotedJob(day, rates);
  const counterpart = compared && counterpartOf(batch, compared.name, compared.mix);
  const other = counterpart && quotedJob(dayPlanOf(counterpart.batch, day.pace), rates);
  return {
    quote: {
      batch,
      rates,
      job,
      comparison: other && {
        name: counterpart.name,
        coats: counterpart.coats,
        job: other,
        priceRatio: job.price.net / other.price.net,
        volumeRatio: batch.mixedVolume / counterpart.batch.mixedVolume,
        timeRatio: job.price.minutes / other.price.minutes,
        reasons: printedReasons(reasonsFor(job.costed, other.costed, rates), job.price.net - other.price.net),
      },
      inventedCost: [
        ...new Set(batch.layers.flatMap((layer) => inventedPrices(layer.recipe?.components ?? []))),
      ],
      withoutCost: [...new Set(batch.layers.flatMap((layer) => layer.recipe?.withoutCost ?? []))],
      calibrated: batch.needed.flatMap(({ component: { name, provenance, costPerMl } }) =>
        costPerMl === undefined && provenance.kind === "calibrated" ? [name] : [],
      ),
    },
    counterpart,
  };
}

function quotedJob(day: DayPlan, rates: QuoteRates): QuotedJob {
  const { batch, pace } = day;
  const mixes = mixesToFind(batch);
  const trials = rates.trialsPerMix * mixes.length;
  const oneTrial = trialMinutes(batch, pace, rates.comparing);
  const lines = linesOf(day, rates, mixes, trials, trials * oneTrial);
  const line = (id: string) => lines.find((candidate) => candidate.id === id)!;
  const rest = lines.filter(({ id }) => !["basecoat", "colour", "development"].includes(id));
  const colour = layerOf(batch, "colour");
  return {
    batch,
    day,
    price: printedPrice(
      priceOf(
        lines.filter(({ materials, minutes }) => materials > 0 || minutes > 0),
        rates,
      ),
      rates,
    ),
    costed: {
      basecoat: line("basecoat"),
      colour: {
        volume: colour?.quantity.mixVolume ?? 0,
        // Thinner counts with the mix it thins.
        costPerMl: colour ? line("colour").materials / colour.quantity.mixVolume : 0,
        minutes: line("colour").minutes,
      },
      development: line("development"),
      rest: {
        materials: rest.reduce((sum, { materials }) => sum + materials, 0),
        minutes: rest.reduce((sum, each) => sum + each.minutes, 0),
      },
    },
    trials,
    trialMinutes: oneTrial,
    mixesToFind: mixes.length,
  };
}

/** Mixes that have to be found on test panels: a paint that is laid as it stands is none. */
function mixesToFind(batch: Batch): BatchLayer[] {
  return batch.layers.filter((layer) => (layer.recipe?.components.length ?? 0) > 1);
}

/** What the job costs, line by line. */
function linesOf(
  day: DayPlan,
  rates: QuoteRates,
  mixes: readonly BatchLayer[],
  trials: number,
  trialMinutes: number,
): CostLine[] {
  const { batch } = day;
  const minutes = (kind: LayerKind) => day.minutes.get(kind) ?? 0;
  const litres = (kind: LayerKind) => (layerOf(batch, kind)?.quantity.mixVolume ?? 0) / 1000;
  const mixCost = (kind: LayerKind) => {
    const layer = layerOf(batch, kind);
    return layer ? layer.quantity.mixVolume * (layer.recipe?.costPerMl ?? 0) : 0;
  };
  const thinner = (kind: LayerKind) =>
    ((layerOf(batch, kind)?.quantity.thinnerVolume ?? 0) / 1000) * rates.thinnerPerLitre;
  // A round takes about one cup of each mix: what the cup and the test panels of the batch take is the measure.
  const trialMaterials = mixes.reduce((sum, { quantity, recipe }) => {
    const { testPanels, cupAndHose, dispensed } = quantity.ledger;
    return sum + ((testPanels + cupAndHose) / dispensed) * quantity.mixVolume * recipe!.costPerMl;
  }, 0);
  const leftOver =
    batch.layers.reduce(
      (sum, { quantity: { ledger } }) => sum + ledger.cupAndHose + ledger.reserve + ledger.rounding,
      0,
    ) / 1000;
  return [
    {
      id: "cleaner",
      label: "Cleaning and masking",
      materials: litres("cleaner") * rates.cleanerPerLitre,
      minutes: minutes("cleaner"),
    },
    {
      id: "adhesion",
      label: "Adhesion coat",
      materials: litres("adhesion") * rates.adhesionPerLitre + thinner("adhesion"),
      minutes: minutes("adhesion"),
    },
    {
      id: "basecoat",
      label: "Basecoat",
      materials: mixCost("basecoat") + thinner("basecoat"),
      minutes: minutes("basecoat"),
    },
    {
      id: "colour",
      label: "Colour",
      materials: mixCost("colour") + thinner("colour"),
      minutes: minutes("colour"),
    },
    {
      id: "clear",
      label: "Clear coat",
      materials: litres("clear") * rates.clearPerLitre + thinner("clear"),
      minutes: minutes("clear"),
    },
    {
      id: "development",
      label: "Finding the colour",
      materials: trials * trialMaterials,
      minutes: trialMinutes,
    },
    {
      id: "sundries",
      label: "Sundries and waste",
      materials: batch.layers.length * rates.sundriesPerLayer + Math.max(0, leftOver) * rates.wastePerLitre,
      minutes: 0,
    },
  ];
}
