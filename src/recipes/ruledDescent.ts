import type { Component } from "../coating/component.ts";
import { leastDoseOf } from "../coating/leastDose.ts";
import { within } from "../colour/checks.ts";
import { Descender, type DescentOptions, type Limits } from "../fit/trustRegion.ts";
import type { RecipeDepths } from "./depths.ts";
import type { ForwardModel } from "./forward.ts";
import { type AmountLimits, keepWithin, lacking, recipeLimits, slack } from "./recipeLimits.ts";

/** What binds the amounts of a fit. */
interface DoseRules {
  readonly limits: AmountLimits;
  /**
   * A component is left out or given at least this much, mL per 100 mL, or as much as it says itself; the binder may be less.
   * 0 when left out.
   */
  readonly leastDose?: number;
  /** The loading is held at its greatest. */
  readonly fullLoading: boolean;
}

/** A recipe in the solver's variables. */
export interface Descended {
  readonly x: Float64Array;
  readonly value: number;
  readonly converged: boolean;
}

/** Of each variable: as it comes, left out, or given at least the least dose. */
const free = 0;
const out = 1;
const given = 2;

/**
 * Descends to recipes in which every dose is nothing or at least a least one.
 *
 * A dose in between splits the question in two, left out or given enough, and both are descended from where the undivided one
 * ended (branch and bound: a branch whose freer question ended no lower than the best recipe so far cannot beat it).
 */
export class RuledDescent {
  /** Limits without the least dose, or in words why no recipe keeps them. */
  readonly whole: ReturnType<typeof recipeLimits>;
  readonly #forward: ForwardModel;
  readonly #components: readonly Component[];
  readonly #depths: RecipeDepths;
  readonly #rules: DoseRules;
  /** Least dose of each variable as a wet share. */
  readonly #least: Float64Array;
  readonly #descenders = new Map<number, Descender>();
  readonly #branches = new Map<string, Limits | undefined>();

  /** @throws RangeError for a least dose outside 0…100 */
  constructor(
    forward: ForwardModel,
    components: readonly Component[],
    depths: RecipeDepths,
    rules: DoseRules,
  ) {
    const { leastDose = 0 } = rules;
    within("least sensible dose", leastDose, 0, 100, "mL per 100 mL");
    this.#forward = forward;
    this.#components = components;
    this.#depths = depths;
    this.#rules = rules;
    this.#least = Float64Array.from(depths.componentOf, (j) => leastDoseOf(components[j], leastDose) / 100);
    this.whole = recipeLimits(components, depths, rules.limits, rules.fullLoading);
  }

  /** The limits without the least dose. @throws RangeError when no recipe keeps them */
  get limits(): Limits {
    if ("reason" in this.whole) throw new RangeError(this.whole.reason);
    return this.whole.limits;
  }

  /** Whether every dose is nothing or enough. */
  keepsLeastDose(x: Float64Array): boolean {
    return this.#tooLittle(x) < 0;
  }

  /**
   * The best recipe below `below` that a start leads to, or undefined when it leads to none. The start is left alone.
   * @param spread recipes spread over what the limits allow: every branch is also descended from the best of them
   */
  from(
    start: Float64Array,
    options: DescentOptions,
    below = Number.POSITIVE_INFINITY,
    spread: readonly Float64Array[] = [],
  ): Descended | undefined {
    return this.#branch(new Uint8Array(start.length), start, { options, spread }, below);
  }

  #branch(
    choice: Uint8Array,
    start: Float64Array,
    effort: { options: DescentOptions; spread: readonly Float64Array[] },
    below: number,
  ): Descended | undefined {
    const limits = this.#limitsOf(choice);
    if (!limits) return undefined;
    let x: Float64Array = start.slice();
    keepWithin(limits, x);
    let { converged } = this.#descend(x, limits, effort.options);
    let value = this.#forward.value(x);
    if (effort.spread.length > 0 && choice.some((side) => side !== free)) {
      // Cut in two, the question may have its best answer far from where the whole one ended.
      const other = this.#bestOf(effort.spread, limits);
      const descent = this.#descend(other, limits, effort.options);
      const otherValue = this.#forward.value(other);
      if (otherValue < value) [x, value, converged] = [other, otherValue, descent.converged];
    }
    if (!(value < below)) return undefined;
    const split = this.#tooLittle(x);
    if (split < 0) return { x, value, converged };
    let best: Descended | undefined;
    const nearer = x[split] > this.#least[split] / 2 ? given : out;
    for (const side of nearer === out ? [out, given] : [given, out]) {
      const narrower = choice.slice();
      narrower[split] = side;
      best = this.#branch(narrower, x, effort, best ? best.value : below) ?? best;
    }
    return best;
  }

  #bestOf(spread: readonly Float64Array[], limits: Limits): Float64Array {
    let best: Float64Array = spread[0].slice();
    let least = Number.POSITIVE_INFINITY;
    for (const point of spread) {
      const x = point.slice();
      keepWithin(limits, x);
      const value = this.#forward.value(x);
      if (value < least) [best, least] = [x, value];
    }
    return best;
  }

  #descend(x: Float64Array, limits: Limits, options: DescentOptions) {
    const rows = limits.b.length;
    const descender = this.#descenders.get(rows) ?? new Descender(x.length, this.#forward.objectives, rows);
    this.#descenders.set(rows, descender);
    return descender.minimise(this.#forward, x, limits, options);
  }

  /** The variable that lies deepest between nothing and the least dose, or −1. */
  #tooLittle(x: Float64Array): number {
    let at = -1;
    let deepest = 1e-7;
    for (let i = 0; i < x.length; i++) {
      const depth = Math.min(x[i], this.#least[i] - x[i]);
      if (depth > deepest) {
        at = i;
        deepest = depth;
      }
    }
    return at;
  }

  /** Limits of a branch; undefined when nothing keeps them. */
  #limitsOf(choice: Uint8Array): Limits | undefined {
    const key = choice.join("");
    if (this.#branches.has(key)) return this.#branches.get(key);
    const { limits, fullLoading } = this.#rules;
    const { componentOf } = this.#depths;
    const count = this.#components.length;
    const min = Float64Array.from({ length: count }, (_, j) => limits.min?.[j] ?? 0);
    const max = Float64Array.from({ length: count }, (_, j) => limits.max?.[j] ?? 100);
    let possible = true;
    choice.forEach((side, i) => {
      const j = componentOf[i];
      if (side === out) {
        if (min[j] > 0) possible = false;
        max[j] = 0;
      } else if (side !== free) {
        min[j] = Math.max(min[j], 100 * this.#least[i]);
        if (min[j] > max[j]) possible = false;
      }
    });
    const found = possible
      ? recipeLimits(this.#components, this.#depths, { ...limits, min, max }, fullLoading)
      : undefined;
    const kept = found && "limits" in found && isOpen(found.limits) ? found.limits : undefined;
    this.#branches.set(key, kept);
    return kept;
  }
}

/** Whether the least amounts keep the loading and leave room for the binder. */
function isOpen(limits: Limits): boolean {
  return [0, 1].every((row) => lacking(limits, limits.low, row) <= slack);
}
