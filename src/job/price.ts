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

/** Money as text: two decimals below 100, none from 1000 on where a cent says nothing. The symbol is plain text. */
export function moneyText(amount: number, currency: string): string {
  const size = Math.abs(amount);
  const digits = size < 1000 ? 2 : 0;
  const text = size.toFixed(digits).replace(/\B(?=(\d{3})+(?!\d))/g, "\u202f");
  // A long word stands behind the number, a sign before it.
  const sign = amount < 0 && Number(size.toFixed(digits)) > 0 ? "−" : "";
  const symbol = currency.trim();
  if (symbol === "") return `${sign}${text}`;
  return symbol.length === 1 ? `${sign}${symbol}${text}` : `${sign}${text} ${symbol}`;
}
