import type { Component } from "../coating/component.ts";
import { sumOf } from "../fit/sumOf.ts";
import { Descender, keeps, type Limits, limitsOf, type MinimaxProblem } from "../fit/trustRegion.ts";
import { tellingDoses } from "./depths.ts";
import type { ForwardModel } from "./forward.ts";

const smoothings = [1, 0.1, 0.02] as const;
/** ΔE00 counts this much against growth while the aim is not reached. */
const urgency = 2;

interface AdditionStock {
  readonly components: readonly Component[];
  readonly binderIndex: number;
  readonly maxLoading: number;
}

export interface Way {
  /** Components added, by index. */
  readonly variables: readonly number[];
  /** Their shares of the grown batch. */
  readonly x: Float64Array;
  /** Objective. */
  readonly value: number;
}

/** Optimises additions to a pot, which fills the mix up, for one choice of pastes and the binder. */
export class AdditionSolver {
  readonly #forward: ForwardModel;
  readonly #components: readonly Component[];
  readonly #binderIndex: number;
  readonly #maxLoading: number;
  readonly #potLoading: number;
  readonly #telling: Float64Array;
  readonly #descenders = new Map<number, Descender>();

  /** @param potLoading share of pastes in the pot, 0…1 */
  constructor(
    forward: ForwardModel,
    { components, binderIndex, maxLoading }: AdditionStock,
    potLoading: number,
  ) {
    this.#forward = forward;
    this.#components = components;
    this.#binderIndex = binderIndex;
    // A pot that is over the limit already must at least not get richer.
    this.#maxLoading = Math.max(maxLoading, potLoading);
    this.#potLoading = potLoading;
    this.#telling = tellingDoses(forward.setting.depths, forward.setting.finish.kind === "opaque");
  }

  #limits(variables: readonly number[], maxGrowth: number): Limits {
    const n = variables.length;
    const most = maxGrowth / (1 + maxGrowth);
    const pot = this.#potLoading;
    const growth = { a: new Float64Array(n).fill(1), b: most };
    // pot·(1 − Σx) + Σ pastes ≤ greatest
    const loading = {
      a: variables.map((j) => (this.#components[j].role === "paste" ? 1 : 0) - pot),
      b: this.#maxLoading - pot,
    };
    return limitsOf(new Float64Array(n), new Float64Array(n).fill(most), [growth, loading]);
  }

  /**
   * The additions of a choice of components that come nearest to the target.
   * @param near where a smaller growth ended, to go on from
   */
  closest(variables: readonly number[], maxGrowth: number, near?: Float64Array): Way {
    const forward = this.#forward;
    const limits = this.#limits(variables, maxGrowth);
    forward.use(variables);
    const n = variables.length;
    const descender = this.#descenders.get(n) ?? new Descender(n, forward.objectives, 2);
    this.#descenders.set(n, descender);
    let best: Way = { variables, x: new Float64Array(n), value: forward.value(new Float64Array(n)) };
    const consider = (x: Float64Array): void => {
      if (!keeps(limits, x, 1e-12)) return;
      descender.minimise(forward, x, limits, { smoothings, maxIterations: 60 });
      const value = forward.value(x);
      if (value < best.value) best = { variables, x, value };
    };
    if (near) {
      consider(near.slice());
      return best;
    }
    // The many choices of four start from nothing added only.
    for (const start of n > 3 ? [0] : [0, 0.2]) {
      const x = new Float64Array(n);
      for (let i = 0; i < n; i++) {
        if (variables[i] === this.#binderIndex) continue;
        x[i] = Math.min(limits.high[i] / n, start * this.#telling[variables[i]]);
      }
      consider(x);
    }
    return best;
  }

  /** From there, the least additions whose objective stays within the aim. */
  smallest({ variables, x: start, value: from }: Way, aim: number, maxGrowth: number): Way {
    const forward = this.#forward;
    forward.use(variables);
    const x = start.slice();
    const problem = new WithinAim(forward, aim, urgency);
    const descender = new Descender(variables.length, problem.objectives, 2);
    const limits = this.#limits(variables, maxGrowth);
    descender.minimise(problem, x, limits, { smoothings: [0.1, 0.01, 1e-3], maxIterations: 80 });
    const value = forward.value(x);
    return value <= aim + 0.02 && sumOf(x) < sumOf(start)
      ? { variables, x, value }
      : { variables, x: start, value: from };
  }
}

/** Σx + urgency·max(0, greatest objective − aim), as the greatest of smooth parts: one for each objective, and Σx alone. */
class WithinAim implements MinimaxProblem {
  readonly #forward: ForwardModel;
  readonly #aim: number;
  readonly #urgency: number;
  readonly objectives: number;

  constructor(forward: ForwardModel, aim: number, urgency: number) {
    this.#forward = forward;
    this.#aim = aim;
    this.#urgency = urgency;
    this.objectives = forward.objectives + 1;
  }

  get size(): number {
    return this.#forward.size;
  }

  get smoothing(): number {
    return this.#forward.smoothing;
  }

  set smoothing(value: number) {
    this.#forward.smoothing = value;
  }

  derivatives(
    x: Float64Array,
    f: Float64Array,
    gradient: Float64Array,
    hessian: Float64Array,
    shares?: Float64Array,
  ): number {
    const n = x.length;
    const own = this.#forward.objectives;
    this.#forward.derivatives(x, f, gradient, hessian, shares);
    const sum = sumOf(x);
    let top = sum;
    for (let g = 0; g < own; g++) {
      f[g] = sum + this.#urgency * (f[g] - this.#aim);
      top = Math.max(top, f[g]);
      for (let i = 0; i < n; i++) gradient[g * n + i] = 1 + this.#urgency * gradient[g * n + i];
      for (let k = 0; k < n * n; k++) hessian[g * n * n + k] *= this.#urgency;
    }
    f[own] = sum;
    for (let i = 0; i < n; i++) gradient[own * n + i] = 1;
    for (let k = 0; k < n * n; k++) hessian[own * n * n + k] = 0;
    return top;
  }

  scalesInto(out: Float64Array): void {
    this.#forward.scalesInto(out);
  }
}
