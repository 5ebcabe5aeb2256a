import type { Component } from "../coating/component.ts";
import { fraction, ofLength, within } from "../colour/checks.ts";
import { type Limits, limitsOf } from "../fit/trustRegion.ts";
import type { RecipeDepths } from "./depths.ts";

/** What a recipe must keep to. */
export interface AmountLimits {
  /** Greatest share of pastes in the wet mix, 0…1. */
  readonly maxLoading: number;
  /** Least amount of each component, mL per 100 mL of mix; 0 when left out. */
  readonly min?: ArrayLike<number>;
  /** Greatest amount of each component, mL per 100 mL of mix; 100 when left out. */
  readonly max?: ArrayLike<number>;
}

/** Limits in the solver's variables, or in words why no recipe can keep them. */
type LimitsOrReason = { readonly limits: Limits } | { readonly reason: string };

// Shares closer than this to a limit count as keeping it.
export const slack = 1e-12;

/**
 * Turn limits in mL per 100 mL into those of the solver. The first row is the loading, the second leaves room for the
 * binder, a third, if there is one, keeps the binder below its greatest amount.
 *
 * @param fullLoading take the loading as given instead of as a greatest one (as far as the pastes' greatest amounts reach)
 * @throws TypeError for arrays of another length, RangeError for amounts outside 0…100 or loading outside 0…1
 */
export function recipeLimits(
  components: readonly Component[],
  { componentOf, binderIndex, variables }: RecipeDepths,
  { maxLoading, min, max }: AmountLimits,
  fullLoading = false,
): LimitsOrReason {
  fraction("greatest loading", maxLoading);
  for (const [name, values] of [
    ["least amount", min],
    ["greatest amount", max],
  ] as const) {
    if (!values) continue;
    ofLength(`${name}s`, values, components.length);
    for (let j = 0; j < components.length; j++) {
      within(`${name} of ${components[j].name}`, values[j], 0, 100, "mL per 100 mL");
    }
  }
  const low = Float64Array.from(componentOf, (j) => (min?.[j] ?? 0) / 100);
  const high = Float64Array.from(componentOf, (j) => (max?.[j] ?? 100) / 100);
  for (let i = 0; i < variables; i++) {
    if (low[i] > high[i]) {
      const { name } = components[componentOf[i]];
      return {
        reason: `${name}: its least amount (${100 * low[i]} mL per 100 mL) is above its greatest (${100 * high[i]})`,
      };
    }
  }
  const leastBinder = (min?.[binderIndex] ?? 0) / 100;
  const greatestBinder = (max?.[binderIndex] ?? 100) / 100;
  const rows: { a: Float64Array; b: number }[] = [
    { a: Float64Array.from(componentOf, (j) => (components[j].role === "paste" ? 1 : 0)), b: maxLoading },
    { a: new Float64Array(variables).fill(1), b: 1 - leastBinder },
  ];
  if (greatestBinder < 1) rows.push({ a: new Float64Array(variables).fill(-1), b: greatestBinder - 1 });
  const limits = limitsOf(low, high, rows);
  if (lacking(limits, low, 0) > slack) {
    return {
      reason: `the least amounts of the pastes add up to more than the greatest loading of ${100 * maxLoading} %`,
    };
  }
  if (lacking(limits, low, 1) > slack) {
    return { reason: "the least amounts add up to more than the whole mix" };
  }
  if (greatestBinder < 1 && lacking(limits, fullest(limits), 2) > slack) {
    return {
      reason: `the binder cannot stay at or below ${100 * greatestBinder} mL per 100 mL within the other limits`,
    };
  }
  return { limits: fullLoading ? withFullLoading(limits) : limits };
}

/** The same limits with the loading held at its greatest, or at what the pastes' greatest amounts allow. */
export function withFullLoading(limits: Limits): Limits {
  const { low, high, a, b } = limits;
  const n = low.length;
  let most = 0;
  for (let i = 0; i < n; i++) if (a[i] > 0) most += high[i];
  const held = b.slice();
  held[0] = Math.min(b[0], b[1], most);
  return { low, high, a, b: held, equalities: 1 };
}

/** By how much x breaks row r, 0 when it keeps it. */
export function lacking({ a, b }: Limits, x: Float64Array, r: number): number {
  let sum = -b[r];
  for (let i = 0; i < x.length; i++) sum += a[r * x.length + i] * x[i];
  return Math.max(0, sum);
}

/** The point on the way from the least to the greatest amounts that just keeps the upper limits. */
export function fullest(limits: Limits): Float64Array {
  const x = limits.high.slice();
  keepWithin(limits, x);
  return x;
}

/**
 * Bring x within the limits, in place: first each variable, then all of them towards their least amounts; where the loading
 * is held, the pastes grow in proportion until they reach it.
 */
export function keepWithin(limits: Limits, x: Float64Array): void {
  const { low, high, a, b } = limits;
  const n = x.length;
  for (let i = 0; i < n; i++) x[i] = Math.min(high[i], Math.max(low[i], x[i]));
  let share = 1;
  for (let r = 0; r < Math.min(2, b.length); r++) {
    let from = 0;
    let to = 0;
    for (let i = 0; i < n; i++) {
      from += a[r * n + i] * low[i];
      to += a[r * n + i] * x[i];
    }
    if (to > b[r] && to > from) share = Math.min(share, Math.max(0, (b[r] - from) / (to - from)));
  }
  if (share < 1) for (let i = 0; i < n; i++) x[i] = low[i] + share * (x[i] - low[i]);
  if (limits.equalities > 0) growTo(limits, x);
  if (b.length > 2 && lacking(limits, x, 2) > 0) {
    // Too much binder: towards the fullest mix until it is little enough.
    const full = high.slice();
    const two: Limits = { low, high, a: a.subarray(0, 2 * n), b: b.subarray(0, 2), equalities: 0 };
    keepWithin(two, full);
    const missing = lacking(limits, x, 2);
    let room = 0;
    for (let i = 0; i < n; i++) room += full[i] - x[i];
    const part = room > 0 ? Math.min(1, missing / room) : 0;
    for (let i = 0; i < n; i++) x[i] += part * (full[i] - x[i]);
  }
}

/** Grow the pastes in proportion until row 0 is reached, those at their greatest amount staying there. */
function growTo({ high, a, b }: Limits, x: Float64Array): void {
  const n = x.length;
  let any = false;
  for (let i = 0; i < n; i++) if (a[i] > 0 && x[i] > 0) any = true;
  if (!any) for (let i = 0; i < n; i++) if (a[i] > 0) x[i] = 1e-9 * high[i];
  for (let round = 0; round <= n; round++) {
    let sum = 0;
    let growing = 0;
    for (let i = 0; i < n; i++) {
      if (a[i] <= 0) continue;
      sum += x[i];
      if (x[i] < high[i]) growing += x[i];
    }
    const missing = b[0] - sum;
    if (missing <= 1e-15) return;
    if (growing === 0) {
      // Only pastes at zero have room left: share what is missing by their room.
      let room = 0;
      for (let i = 0; i < n; i++) if (a[i] > 0) room += high[i] - x[i];
      if (room > 0) {
        const part = Math.min(1, missing / room);
        for (let i = 0; i < n; i++) if (a[i] > 0) x[i] += part * (high[i] - x[i]);
      }
      return;
    }
    const factor = 1 + missing / growing;
    for (let i = 0; i < n; i++) if (a[i] > 0 && x[i] < high[i]) x[i] = Math.min(high[i], x[i] * factor);
  }
}
