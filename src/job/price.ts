import { atLeastZero, finite } from "../colour/checks.ts";
import { remainder } from "../colour/remainder.ts";

// Price of a job from plain rates, and why one colour costs more than another. Money in any one currency.

export interface Rates {
  /** money for an hour of work */
  labourPerHour: number;
  /** share added to the cost of materials, ≥ 0 */
  markup: number;
  /** share of tax on the net price, ≥ 0 */
  tax: number;
}

/** What a piece of the work costs before any price is put on it. */
export interface CostLine {
  readonly id: string;
  readonly label: string;
  /** cost of materials */
  readonly materials: number;
  /** minutes of work */
  readonly minutes: number;
}

interface PricedLine extends CostLine {
  readonly labour: number;
  /** materials with mark-up, and labour */
  readonly price: number;
}

export interface Price {
  readonly lines: readonly PricedLine[];
  readonly minutes: number;
  /** cost of materials, without mark-up */
  readonly materials: number;
  readonly markup: number;
  readonly labour: number;
  /** labour, materials and mark-up */
  readonly net: number;
  readonly tax: number;
  readonly total: number;
}

/** @throws RangeError for a negative or not finite rate */
function checkRates({ labourPerHour, markup, tax }: Rates): void {
  atLeastZero("labour", labourPerHour, "per hour");
  atLeastZero("mark-up on materials", markup);
  atLeastZero("tax", tax);
}

/**
 * Price of a job: hours at their rate, materials with mark-up, tax on the sum.
 *
 * @throws RangeError for a negative or not finite cost, time or rate
 * Source: arithmetic.
 */
export function priceOf(lines: readonly CostLine[], rates: Rates): Price {
  checkRates(rates);
  const priced = lines.map((line): PricedLine => {
    atLeastZero(`materials of ${line.label}`, line.materials);
    atLeastZero(`time of ${line.label}`, line.minutes, "min");
    const labour = (line.minutes / 60) * rates.labourPerHour;
    return { ...line, labour, price: labour + line.materials * (1 + rates.markup) };
  });
  const sum = (of: (line: PricedLine) => number) => priced.reduce((total, line) => total + of(line), 0);
  const materials = sum((line) => line.materials);
  const labour = sum((line) => line.labour);
  const markup = materials * rates.markup;
  const net = labour + materials + markup;
  return {
    lines: priced,
    minutes: sum((line) => line.minutes),
    materials,
    markup,
    labour,
    net,
    tax: net * rates.tax,
    total: net * (1 + rates.tax),
  };
}

/** To the hundredth, the least that is printed. */
export function inCents(amount: number): number {
  // No sum of prices is minus nothing.
  return Math.round(100 * amount) / 100 + 0;
}

/**
 * The same price as it is printed: materials, labour and price of each line in hundredths, and sums of what is printed, so
 * that whoever adds the lines comes to the total.
 */
export function printedPrice({ lines, ...price }: Price, { tax }: Rates): Price {
  const printed = lines.map((line) => ({
    ...line,
    materials: inCents(line.materials),
    labour: inCents(line.labour),
    price: inCents(line.price),
  }));
  const sum = (of: (line: PricedLine) => number) =>
    inCents(printed.reduce((total, line) => total + of(line), 0));
  const net = sum((line) => line.price);
  const materials = sum((line) => line.materials);
  const labour = sum((line) => line.labour);
  const taxed = inCents(net * tax);
  return {
    ...price,
    lines: printed,
    materials,
    labour,
    markup: inCents(net - materials - labour),
    net,
    tax: taxed,
    total: inCents(net + taxed),
  };
}

/** The reasons as they are printed: in hundredths, the largest one taking what rounding leaves, so that they make up the difference. */
export function printedReasons(reasons: readonly Reason[], difference: number): Reason[] {
  const prices = reasons.map(({ price }) => inCents(price));
  const left = inCents(difference - prices.reduce((sum, price) => sum + price, 0));
  const largest = prices.reduce((at, price, i) => (Math.abs(price) > Math.abs(prices[at]) ? i : at), 0);
  return reasons.map((reason, i) => ({
    ...reason,
    price: i === largest ? inCents(prices[i] + left) : prices[i],
  }));
}

/** The colour mix of a job: its materials line is volume times cost. */
interface ColourCost {
  /** mL */
  readonly volume: number;
  readonly costPerMl: number;
  readonly minutes: number;
}

/** A job taken apart so that it can be compared with the same job in another colour. */
export interface CostedJob {
  readonly basecoat: { readonly materials: number; readonly minutes: number };
  readonly colour: ColourCost;
  readonly development: { readonly materials: number; readonly minutes: number };
  /** everything else */
  readonly rest: { readonly materials: number; readonly minutes: number };
}

export type ReasonId = "basecoat" | "coats" | "pigment" | "development" | "rest";

/** One reason for a difference in price, before tax. */
export interface Reason {
  readonly id: ReasonId;
  readonly materials: number;
  readonly minutes: number;
  /** net money, mark-up included */
  readonly price: number;
}

/**
 * Why a job costs more than the same job in another colour. The reasons sum to the difference of the net prices.
 * More of the colour is charged at the other colour's cost; what its pigments cost above that is a reason of its own.
 *
 * @throws RangeError for a negative rate
 * Source: arithmetic (V₁c₁ − V₀c₀ = (V₁ − V₀)c₀ + V₁(c₁ − c₀)).
 */
export function reasonsFor(job: CostedJob, other: CostedJob, rates: Rates): Reason[] {
  checkRates(rates);
  const reason = (id: ReasonId, materials: number, minutes: number): Reason => {
    finite(`materials of ${id}`, materials);
    finite(`time of ${id}`, minutes, "min");
    return {
      id,
      materials,
      minutes,
      price: materials * (1 + rates.markup) + (minutes / 60) * rates.labourPerHour,
    };
  };
  const { colour: own } = job;
  const { colour: theirs } = other;
  return [
    reason(
      "basecoat",
      remainder(job.basecoat.materials, other.basecoat.materials),
      remainder(job.basecoat.minutes, other.basecoat.minutes),
    ),
    reason(
      "coats",
      remainder(own.volume, theirs.volume) * theirs.costPerMl,
      remainder(own.minutes, theirs.minutes),
    ),
    reason("pigment", own.volume * remainder(own.costPerMl, theirs.costPerMl), 0),
    reason(
      "development",
      remainder(job.development.materials, other.development.materials),
      remainder(job.development.minutes, other.development.minutes),
    ),
    reason(
      "rest",
      remainder(job.rest.materials, other.rest.materials),
      remainder(job.rest.minutes, other.rest.minutes),
    ),
  ];
}

/** Money as text, always with two decimals, so that printed lines add up. The symbol is plain text. */
export function moneyText(amount: number, currency: string): string {
  const size = Math.abs(amount);
  const text = size.toFixed(2).replace(/\B(?=(\d{3})+(?!\d))/g, "\u202f");
  // A long word stands behind the number, a sign before it.
  const sign = amount < 0 && Number(size.toFixed(2)) > 0 ? "−" : "";
  const symbol = currency.trim();
  if (symbol === "") return `${sign}${text}`;
  return symbol.length === 1 ? `${sign}${symbol}${text}` : `${sign}${text} ${symbol}`;
}
