import { MinimaxStep } from "./minimaxStep.ts";

/** Greatest of several smooth objectives with exact first and second derivatives. */
export interface MinimaxProblem {
  /** Number of variables now in use. */
  readonly size: number;
  readonly objectives: number;
  /** How much the objectives are rounded off where they would have a crease. */
  smoothing: number;
  /**
   * Objectives, written to `f`, with gradients (objective o from o·size) and Hessians (from o·size²; wanted where the share
   * is above 0).
   * @returns the greatest objective
   */
  derivatives(
    x: Float64Array,
    f: Float64Array,
    gradient: Float64Array,
    hessian: Float64Array,
    shares: Float64Array,
  ): number;
  /** How strongly each variable acts for one unit of it, at least 1: steps are scaled by it. From the last `derivatives`. */
  scalesInto(out: Float64Array): void;
}

/** Limits of the variables: low ≤ x ≤ high, rows a·x ≤ b (the first `equalities` of them a·x = b). */
export interface Limits {
  readonly low: Float64Array;
  readonly high: Float64Array;
  /** Row r from r·size. */
  readonly a: Float64Array;
  readonly b: Float64Array;
  readonly equalities: number;
}

/** Limits from rows written one by one; all of them inequalities. */
export function limitsOf(
  low: Float64Array,
  high: Float64Array,
  rows: readonly { readonly a: ArrayLike<number>; readonly b: number }[],
): Limits {
  const a = new Float64Array(rows.length * low.length);
  rows.forEach((row, r) => {
    a.set(row.a, r * low.length);
  });
  return { low, high, a, b: Float64Array.from(rows, ({ b }) => b), equalities: 0 };
}

/** Whether x keeps all limits but for a slack, relative where a limit is above 1. */
export function keeps({ low, high, a, b }: Limits, x: Float64Array, slack = 1e-9): boolean {
  const n = x.length;
  for (let i = 0; i < n; i++) if (x[i] < low[i] - 1e-12 || x[i] > high[i] + 1e-12) return false;
  for (let r = 0; r < b.length; r++) {
    let sum = 0;
    for (let i = 0; i < n; i++) sum += a[r * n + i] * x[i];
    if (sum > b[r] + slack * Math.max(1, Math.abs(b[r]))) return false;
  }
  return true;
}

export interface DescentOptions {
  /** Smoothing of the objective, from coarse to fine. */
  readonly smoothings: readonly number[];
  readonly maxIterations: number;
  /** Give up polishing once the objective cannot come below this by less smoothing. */
  readonly hopelessAbove?: number;
}

interface Descent {
  /** The objective without smoothing at the end. */
  readonly value: number;
  readonly iterations: number;
  readonly converged: boolean;
}

// Steps that promise less than this share of the smoothing end a stage.
const promiseShare = 1e-3;
const firstRadius = 15;
const largestRadius = 80;
const smallestRadius = 1e-7;

/**
 * Trust-region Newton method for a minimax problem (sequential quadratic programming with the exact Hessian of the
 * Lagrangian, made positive definite; Nocedal, Wright, Numerical Optimization, 2006, chapters 4 and 18).
 *
 * The objective never rises from one accepted point to the next within a stage; the caller's x is moved in place. The
 * region is a box in the problem's own scales, so that strong and weak variables take steps that count alike.
 */
export class Descender {
  readonly #step: MinimaxStep;
  readonly #n: number;
  readonly #objectives: number;
  readonly #rows: number;
  #f: Float64Array;
  #G: Float64Array;
  #Hs: Float64Array;
  #fTrial: Float64Array;
  #GTrial: Float64Array;
  #HsTrial: Float64Array;
  readonly #trial: Float64Array;
  readonly #scales: Float64Array;
  readonly #shares: Float64Array;
  readonly #factor: Float64Array;

  constructor(variables: number, objectives: number, rows: number) {
    this.#n = variables;
    this.#objectives = objectives;
    this.#rows = rows;
    this.#step = new MinimaxStep(variables, objectives, rows);
    this.#f = new Float64Array(objectives);
    this.#G = new Float64Array(objectives * variables);
    this.#Hs = new Float64Array(objectives * variables * variables);
    this.#fTrial = new Float64Array(objectives);
    this.#GTrial = new Float64Array(objectives * variables);
    this.#HsTrial = new Float64Array(objectives * variables * variables);
    this.#trial = new Float64Array(variables);
    this.#scales = new Float64Array(variables);
    this.#shares = new Float64Array(objectives);
    this.#factor = new Float64Array(variables * variables);
  }

  minimise(problem: MinimaxProblem, x: Float64Array, limits: Limits, options: DescentOptions): Descent {
    const { smoothings, maxIterations, hopelessAbove = Infinity } = options;
    let iterations = 0;
    let converged = false;
    let radius = firstRadius;
    let top = 0;
    this.#shares.fill(1);
    for (let stage = 0; stage < smoothings.length; stage++) {
      const smoothing = smoothings[stage];
      problem.smoothing = smoothing;
      top = problem.derivatives(x, this.#f, this.#G, this.#Hs, this.#shares);
      problem.scalesInto(this.#scales);
      if (stage === 0) this.#startShares();
      converged = false;
      radius = Math.max(radius, 1);
      const enough = promiseShare * smoothing;
      for (let left = maxIterations - iterations; left > 0; left--) {
        iterations++;
        const promise = top - this.#solveStep(x, limits, radius);
        if (!(promise > enough)) {
          converged = true;
          break;
        }
        const reach = this.#moveTo(x, limits);
        const after = problem.derivatives(
          this.#trial,
          this.#fTrial,
          this.#GTrial,
          this.#HsTrial,
          this.#step.shares,
        );
        const share = (top - after) / promise;
        if (after < top) {
          x.set(this.#trial);
          top = after;
          [this.#f, this.#fTrial] = [this.#fTrial, this.#f];
          [this.#G, this.#GTrial] = [this.#GTrial, this.#G];
          [this.#Hs, this.#HsTrial] = [this.#HsTrial, this.#Hs];
          this.#shares.set(this.#step.shares);
          problem.scalesInto(this.#scales);
        }
        if (share > 0.75) radius = Math.min(largestRadius, Math.max(radius, 2.5 * reach));
        else if (share < 0.25) radius = 0.3 * Math.min(radius, reach);
        if (radius < smallestRadius) {
          converged = true;
          break;
        }
      }
      if (top < 1e-9 || top > hopelessAbove || iterations >= maxIterations) break;
    }
    return { value: top, iterations, converged };
  }

  #startShares(): void {
    this.#shares.fill(0);
    let best = 0;
    for (let o = 1; o < this.#objectives; o++) if (this.#f[o] > this.#f[best]) best = o;
    this.#shares[best] = 1;
  }

  /** Lay the model around x into the step and solve it; returns its height. Variables are in the problem's scales. */
  #solveStep(x: Float64Array, { low, high, a, b, equalities }: Limits, radius: number): number {
    const n = this.#n;
    const step = this.#step;
    const scales = this.#scales;
    step.f.set(this.#f);
    for (let o = 0; o < this.#objectives; o++) {
      for (let i = 0; i < n; i++) step.g[o * n + i] = this.#G[o * n + i] / scales[i];
    }
    const H = step.H;
    H.fill(0);
    for (let o = 0; o < this.#objectives; o++) {
      const share = this.#shares[o];
      if (share <= 0) continue;
      const from = o * n * n;
      for (let k = 0; k < n * n; k++) H[k] += share * this.#Hs[from + k];
    }
    for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) H[i * n + j] /= scales[i] * scales[j];
    this.#makePositive(H);
    for (let i = 0; i < n; i++) {
      step.low[i] = Math.max(-radius, (low[i] - x[i]) * scales[i]);
      step.high[i] = Math.min(radius, (high[i] - x[i]) * scales[i]);
    }
    for (let r = 0; r < this.#rows; r++) {
      let used = 0;
      for (let i = 0; i < n; i++) {
        used += a[r * n + i] * x[i];
        step.a[r * n + i] = a[r * n + i] / scales[i];
      }
      step.b[r] = r < equalities ? 0 : Math.max(0, b[r] - used);
    }
    return step.solve(equalities);
  }

  /** Add to the diagonal until a Cholesky factor exists. */
  #makePositive(H: Float64Array): void {
    const n = this.#n;
    const L = this.#factor;
    let size = 0;
    for (let i = 0; i < n; i++) size = Math.max(size, Math.abs(H[i * n + i]));
    let add = 1e-9 * size + 1e-12;
    for (let i = 0; i < n; i++) H[i * n + i] += add;
    for (let attempt = 0; attempt < 40; attempt++) {
      if (cholesky(H, L, n, 1e-10 * size)) return;
      const more = attempt === 0 ? Math.max(1e-4 * size, 1e-6) : 3 * add;
      for (let i = 0; i < n; i++) H[i * n + i] += more;
      add = more;
    }
  }

  /** Set the trial point; returns the length of the step in the problem's scales (greatest coordinate). */
  #moveTo(x: Float64Array, { low, high }: Limits): number {
    let reach = 0;
    for (let i = 0; i < this.#n; i++) {
      const d = this.#step.d[i];
      reach = Math.max(reach, Math.abs(d));
      const limit = this.#step;
      // Exact limits, so that a dose at its limit stays there to the last bit.
      let to = x[i] + d / this.#scales[i];
      if (d <= limit.low[i] && to - low[i] < 1e-9 * (high[i] - low[i])) to = low[i];
      else if (d >= limit.high[i] && high[i] - to < 1e-9 * (high[i] - low[i])) to = high[i];
      this.#trial[i] = Math.min(high[i], Math.max(low[i], to));
    }
    return reach;
  }
}

/** Whether A (n × n) has a Cholesky factor with all pivots above `floor`; the factor is left in L. */
function cholesky(A: Float64Array, L: Float64Array, n: number, floor: number): boolean {
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = A[i * n + j];
      for (let k = 0; k < j; k++) sum -= L[i * n + k] * L[j * n + k];
      if (i === j) {
        if (!(sum > floor)) return false;
        L[i * n + i] = Math.sqrt(sum);
      } else {
        L[i * n + j] = sum / L[j * n + j];
      }
    }
  }
  return true;
}
