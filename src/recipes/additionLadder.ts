import type { Component } from "../coating/component.ts";
import { sumOf } from "../fit/sumOf.ts";
import { AdditionSolver, type Way } from "./additionSolver.ts";
import type { Additions } from "./additions.ts";
import type { DoseUnit } from "./dispense.ts";
import { differencesOf } from "./fitAmounts.ts";
import type { ForwardModel } from "./forward.ts";
import { subsetsOfSize } from "./subsets.ts";

interface LadderStock {
  readonly components: readonly Component[];
  readonly binderIndex: number;
  /** mL of each component in the pot. */
  readonly pot: ArrayLike<number>;
  readonly maxLoading: number;
  readonly maxPastes: number;
  readonly excluded: readonly number[];
  readonly units: readonly DoseUnit[];
}

/** Growths at which every choice of components is worked out. */
const flights = [0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 3] as const;
/** Growths at which the choices that matter are worked out besides: where a limit may lie. */
const rungs: readonly number[] = [
  ...Array.from({ length: 30 }, (_, k) => (k + 1) / 100),
  ...Array.from({ length: 35 }, (_, k) => (32 + 2 * k) / 100),
  ...Array.from({ length: 20 }, (_, k) => (110 + 10 * k) / 100),
];
/** Choices of each number of components that are followed: the nearest, and those that need least. */
const followed = 5;
/** Share of the pot below which additions that do already are not tried again with one paste more. */
const fewDrops = 0.01;
/** Where none reaches the aim, this much ΔE00 is given away for smaller additions. */
const givenAway = 0.01;

/** The ways to choose from: those that reach the aim, the least first; where none does, the nearest. */
export function bestOf(ways: readonly Additions[], aim: number): Additions | undefined {
  const reached = ways.filter(({ objective }) => objective <= aim);
  let among = reached;
  if (reached.length === 0) {
    const least = Math.min(...ways.map(({ objective }) => objective));
    among = ways.filter(({ objective }) => objective <= least + givenAway);
  }
  let best: Additions | undefined;
  for (const way of among) {
    if (!best || way.growth < best.growth || (way.growth === best.growth && way.objective < best.objective))
      best = way;
  }
  return best;
}

/**
 * Ways to correct a pot, found from small growth of the batch to great, in doses as measured out.
 *
 * What is tried up to some growth does not depend on the growth that is allowed: a looser limit has the same ways to choose
 * from and more. It goes no further than the first growth with a way that reaches the aim, for what comes later adds more.
 */
export class AdditionLadder {
  readonly #forward: ForwardModel;
  readonly #stock: LadderStock;
  readonly #solver: AdditionSolver;
  readonly #aim: number;
  readonly #potVolume: number;
  readonly #potLoading: number;
  readonly #choices: readonly (readonly number[])[];
  /** mL of one step or drop of each component. */
  readonly #stepVolume: Float64Array;
  readonly #ways: Additions[] = [];
  /** What each choice came to at the last flight. */
  #solved: readonly Way[] = [];
  #followed = new Set<string>();
  #climbed = 0;

  /** @param potLoading share of pastes in the pot, 0…1   @param aim objective, ΔE00 */
  constructor(forward: ForwardModel, stock: LadderStock, potLoading: number, aim: number) {
    this.#forward = forward;
    this.#stock = stock;
    this.#solver = new AdditionSolver(forward, stock, potLoading);
    this.#aim = aim;
    this.#potVolume = sumOf(stock.pot);
    this.#potLoading = potLoading;
    this.#choices = choicesOf(stock);
    this.#stepVolume = Float64Array.from(stock.units, (unit, j) =>
      unit.kind === "grams" ? unit.step / stock.components[j].density : 1 / unit.dropsPerMl,
    );
  }

  /** All ways found within a growth. */
  upTo(maxGrowth: number): Additions[] {
    const within = () => this.#ways.filter(({ growth }) => growth <= maxGrowth + 1e-9);
    for (let left = flights.length - this.#climbed; left > 0; left--) {
      const from = this.#climbed === 0 ? 0 : flights[this.#climbed - 1];
      if (from >= maxGrowth - 1e-9 || within().some(({ objective }) => objective <= this.#aim)) break;
      this.#climb(maxGrowth);
    }
    return within();
  }

  /** The least way that reaches the aim, however much it adds up to four times the pot; undefined where none does. */
  needed(): Additions | undefined {
    const reached = () => this.#ways.filter(({ objective }) => objective <= this.#aim);
    for (let left = flights.length - this.#climbed; left > 0 && reached().length === 0; left--)
      this.#climb(0);
    return bestOf(reached(), this.#aim);
  }

  /** Work out the next flight; rungs above a growth are left out, for they lie beyond what is asked. */
  #climb(rungsUpTo: number): void {
    const from = this.#climbed === 0 ? 0 : flights[this.#climbed - 1];
    const to = flights[this.#climbed++];
    const solved: Way[] = [];
    const done: Way[] = [];
    this.#choices.forEach((choice, c) => {
      // A few drops that do already cannot be beaten by one paste more.
      if (choice.length > 2 && done.some(({ variables }) => variables.every((j) => choice.includes(j)))) {
        return;
      }
      const before = this.#solved.find(({ variables }) => variables === choice);
      // One that ended within the last flight's growth would end there again.
      const isInner = before && growthOf(before) < from - 1e-6;
      const way = isInner ? before : this.#solver.closest(this.#choices[c], to, before?.x);
      solved.push(way);
      if (way.value <= this.#aim && sumOf(way.x) < fewDrops) done.push(way);
    });
    this.#solved = solved;
    const follow = new Set<Way>();
    for (let size = 1; size <= 4; size++) {
      const ofSize = solved.filter(({ variables }) => variables.length === size);
      const nearest = [...ofSize].sort((p, q) => p.value - q.value).slice(0, followed);
      const least = ofSize
        .filter(({ value }) => value <= this.#aim)
        .sort((p, q) => sumOf(p.x) - sumOf(q.x))
        .slice(0, 2 * followed);
      const carried = ofSize.filter(({ variables }) => this.#followed.has(variables.join()));
      for (const way of [...nearest, ...least, ...carried]) follow.add(way);
    }
    this.#followed = new Set(
      [...follow]
        .sort((p, q) => p.value - q.value)
        .slice(0, 2 * followed)
        .map(({ variables }) => variables.join()),
    );
    for (const way of follow) this.#round(way, from, to, rungsUpTo);
  }

  /** Note what a choice can do: within the aim by the least additions, at every rung below, and at its nearest. */
  #round(way: Way, from: number, to: number, rungsUpTo: number): void {
    const reaches = way.value <= this.#aim;
    const last = reaches ? this.#solver.smallest(way, this.#aim, to) : way;
    const growth = growthOf(last);
    let near: Float64Array | undefined;
    for (const rung of rungs) {
      if (rung <= from + 1e-9 || rung >= Math.min(growth, to, rungsUpTo + 1e-9)) continue;
      const here = this.#solver.closest(way.variables, rung, near);
      near = here.x;
      this.#note(here, rung);
    }
    this.#note(last, Number.POSITIVE_INFINITY);
    if (reaches && growthOf(way) > growth) this.#note(way, Number.POSITIVE_INFINITY);
  }

  /** Round additions to what can be measured out, and keep the best of the roundings about them. */
  #note({ variables, x }: Way, maxGrowth: number): void {
    const forward = this.#forward;
    const { components, binderIndex, maxLoading } = this.#stock;
    const pot = this.#potVolume;
    const rest = 1 - sumOf(x);
    const count = variables.length;
    const unit = variables.map((j) => this.#stepVolume[j]);
    const ideal = variables.map((_, i) => ((x[i] / rest) * pot) / unit[i]);
    const wide = count < 3 ? 1 : 0;
    const lowest = ideal.map((n) => Math.max(0, Math.floor(n + 1e-9) - wide));
    const highest = ideal.map((n, i) => (n < 1e-9 ? 0 : Math.max(lowest[i], Math.ceil(n - 1e-9) + wide)));
    const loading = Math.max(maxLoading, this.#potLoading);
    forward.use(variables);
    const steps = lowest.slice();
    const shares = new Float64Array(count);
    let best: { steps: number[]; added: number; value: number } | undefined;
    // Every combination of roundings once, the first counted up fastest.
    for (let left = highest.reduce((all, most, i) => all * (most - lowest[i] + 1), 1); left > 0; left--) {
      let added = 0;
      let pastes = this.#potLoading * pot;
      for (let i = 0; i < count; i++) {
        added += steps[i] * unit[i];
        if (components[variables[i]].role === "paste") pastes += steps[i] * unit[i];
      }
      if (added > 0 && added <= maxGrowth * pot + 1e-9 && pastes <= loading * (pot + added) + 1e-9) {
        for (let i = 0; i < count; i++) shares[i] = (steps[i] * unit[i]) / (pot + added);
        const value = forward.value(shares);
        const reaches = value <= this.#aim;
        const better = !best || (reaches ? best.value > this.#aim || added < best.added : value < best.value);
        if (better) best = { steps: steps.slice(), added, value };
      }
      let i = 0;
      for (; i < count && steps[i] === highest[i]; i++) steps[i] = lowest[i];
      if (i < count) steps[i]++;
    }
    if (!best) return;
    const all = new Float64Array(components.length);
    variables.forEach((j, i) => {
      all[j] = best.steps[i];
    });
    for (let i = 0; i < count; i++) shares[i] = (best.steps[i] * unit[i]) / (pot + best.added);
    const used = variables.filter((j) => all[j] > 0);
    this.#ways.push({
      volumes: all.map((n, j) => n * this.#stepVolume[j]),
      steps: all,
      pastes: used.filter((j) => j !== binderIndex).sort((p, q) => p - q),
      pours: used.length,
      growth: best.added / pot,
      objective: best.value,
      differences: differencesOf(forward, shares),
    });
  }
}

/** What a way adds, as a share of the pot. */
const growthOf = ({ x }: Way): number => {
  const sum = sumOf(x);
  return sum / (1 - sum);
};

/** One or two components alone, and up to so many pastes with the binder. */
function choicesOf({ components, binderIndex, excluded, maxPastes }: LadderStock): number[][] {
  const pastes = Array.from(components.keys()).filter((j) => j !== binderIndex && !excluded.includes(j));
  const choices: number[][] = [[binderIndex]];
  for (let size = 1; size <= Math.min(maxPastes, pastes.length); size++) {
    const packed = subsetsOfSize({ candidates: pastes, required: [], maxPastes }, size);
    for (let k = 0; k < packed.length / size; k++) {
      const choice = [...packed.subarray(k * size, (k + 1) * size)];
      if (size < 3) choices.push(choice);
      choices.push([...choice, binderIndex]);
    }
  }
  return choices;
}
