import { atLeastZero } from "../colour/checks.ts";
import { normalShare } from "../fit/normalShare.ts";
import { sizeEnds, stepCount } from "./stepWords.ts";

/** Scatter of an ordinary eye on the logarithmic scale of differences (from memory; CIE 101 gives the order of size). */
const ordinaryScatter = 0.35;
/** Noise of an ordinary eye that stays when nothing is to be seen, in eye's units (from memory). */
const ordinaryNoise = 0.45;
/** Share of words that mean nothing: a slip of the hand, the wrong button (our own). */
const slips = 0.02;

/** Coarseness is the log of how many times wider an eye scatters than an ordinary one; the table spans these. */
const coarsest = 1.6;
const finest = -1.2;
const coarseStep = 0.35;
const coarseLevels = Math.round((coarsest - finest) / coarseStep) + 1;
/** Differences lie evenly in asinh(difference/bend), dense where the words change. */
const bend = 0.5;
const spacing = 0.06;
const places = 92; // up to 60 eye's units
/** The scatter is summed over ±4 standard deviations. */
const sums = 21;

/**
 * The chance of every step word for a true difference: what is perceived is the difference times exp(bias + scatter), plus
 * noise; the word is the interval it falls into. Tabulated by difference and by coarseness, read off on straight lines.
 */
export class StepChances {
  readonly #table: Float64Array;

  /** @param doubt standard deviation of the panel's own colour, in eye's units: it adds to the noise */
  constructor(doubt: number) {
    atLeastZero("doubt of the panel", doubt);
    this.#table = new Float64Array(coarseLevels * places * stepCount);
    for (let c = 0; c < coarseLevels; c++) {
      const factor = Math.exp(finest + c * coarseStep);
      for (let d = 0; d < places; d++) {
        const difference = bend * Math.sinh(d * spacing);
        this.#fill((c * places + d) * stepCount, difference, factor, doubt);
      }
    }
  }

  #fill(at: number, difference: number, factor: number, doubt: number): void {
    const noise = Math.hypot(ordinaryNoise * factor, doubt);
    const scatter = ordinaryScatter * factor;
    const table = this.#table;
    let whole = 0;
    for (let i = 0; i < sums; i++) {
      const z = -4 + (8 * i) / (sums - 1);
      const share = Math.exp((-z * z) / 2);
      whole += share;
      const seen = difference * Math.exp(scatter * z);
      let below = 0;
      for (let step = 0; step < stepCount; step++) {
        const upTo = step === stepCount - 1 ? 1 : normalShare((endOf(step) - seen) / noise);
        table[at + step] += share * (upTo - below);
        below = upTo;
      }
    }
    for (let step = 0; step < stepCount; step++) {
      table[at + step] = (1 - slips) * (table[at + step] / whole) + slips / stepCount;
    }
  }

  /** Chance of a step (−4…4) for a signed difference (bias taken in) and a coarseness. */
  of(step: number, difference: number, coarseness: number): number {
    const size = Math.abs(difference);
    const word = (difference < 0 ? -step : step) + 4;
    const ratio = size / bend;
    const d = Math.min(Math.log(ratio + Math.sqrt(ratio * ratio + 1)) / spacing, places - 1.001);
    const c = Math.min(Math.max((coarseness - finest) / coarseStep, 0), coarseLevels - 1.001);
    const d0 = Math.floor(d);
    const c0 = Math.floor(c);
    const u = d - d0;
    const at = (c0 * places + d0) * stepCount + word;
    const next = at + places * stepCount;
    const table = this.#table;
    const fine = table[at] + u * (table[at + stepCount] - table[at]);
    const coarse = table[next] + u * (table[next + stepCount] - table[next]);
    return fine + (c - c0) * (coarse - fine);
  }
}

/** Upper end of a step, counted from −4 as 0. */
function endOf(step: number): number {
  return step < 4 ? -sizeEnds[3 - step] : sizeEnds[step - 4];
}

/** A panel in greater doubt than this tells nothing more or less. */
export const mostDoubt = 3;

const made = new Map<number, StepChances>();

/** The chances for a panel's doubt, rounded to 0.05: made once for each. */
export function stepChances(doubt: number): StepChances {
  const rounded = Math.round(doubt * 20) / 20;
  const known = made.get(rounded) ?? new StepChances(rounded);
  made.set(rounded, known);
  return known;
}
