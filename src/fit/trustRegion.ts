import { MinimaxStep } from "./minimaxStep.ts";

/** Greatest of several smooth objectives with exact first and second derivatives. */
export interface MinimaxProblem {
  /** Number of variables now in use. */
  readonly size: number;
  /** Number of objectives. */
  readonly grounds: number;
  smoothing: number;
  /** See ForwardModel.derivatives; the Hessian is wanted where the share is above 0. */
  derivatives(
    x: Float64Array,
    f: Float64Array,
    gradient: Float64Array,
    hessian: Float64Array,
    shares: Float64Array,
  ): number;
  /** How far the colour moves for one unit of each variable, written to `out`; from the last call of `derivatives`. */
  sensitivitiesInto(out: Float64Array): void;
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

export interface DescentOptions {
  /** Smoothing of the objective, from coarse to fine. */
  readonly smoothings: readonly number[];
  readonly maxIterations: number;
  /** Give up polishing once the objective cannot come below this by less smoothing. */
  readonly hopelessAbove?: number;
}

export interface Descent {
  /** The objective without smoothing at the end. */
  readonly value: number;
  readonly iterations: number;
  readonly converged: boolean;
}

// In ΔE00: steps that promise less than this share of the smoothing end a stage.
const promiseShare = 1e-3;
const firstRadius = 15;
const largestRadius = 80;
const smallestRadius = 1e-7;

/**
 * Trust-region Newton method for a minimax problem (sequential quadratic programming with the exact Hessian of the
 * Lagrangian, made positive definite; Nocedal, Wright, Numerical Optimization, 2006, chapters 4 and 18).
 *
 * The objective never rises from one accepted point to the next within a stage; the caller's x is moved in place. The
 * region is a box in units of colour change, so that strong and weak pastes take steps that look alike.
 */
export class Descender {
  readonly #step: MinimaxStep;
  readonly #n: number;
  readonly #parts: number;
  readonly #rows: number;
  #f: Float64Array;
  #G: Float64Array;
  #Hs: Float64Array;
  #fTrial: Float64Array;
  #GTrial: Float64Array;
  #HsTrial: Float64Array;
  readonly #trial: Float64Array;
  readonly #unit: Float64Array;
  readonly #shares: Float64Array;
  readonly #factor: Float64Array;

  constructor(variables: number, parts: number, rows: number) {
    this.#n = variables;
    this.#parts = parts;
    this.#rows = rows;
    this.#step = new MinimaxStep(variables, parts, rows);
    this.#f = new Float64Array(parts);
    this.#G = new Float64Array(parts * variables);
    this.#Hs = new Float64Array(parts * variables * variables);
    this.#fTrial = new Float64Array(parts);
    this.#GTrial = new Float64Array(parts * variables);
    this.#HsTrial = new Float64Array(parts * variables * variables);
    this.#trial = new Float64Array(variables);
    this.#unit = new Float64Array(variables);
    this.#shares = new Float64Array(parts);
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
      problem.sensitivitiesInto(this.#unit);
      if (stage === 0) this.#startShares();
      converged = false;
      radius = Math.max(radius, 1);
      const enough = promiseShare * smoothing;
      while (iterations < maxIterations) {
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
          problem.sensitivitiesInto(this.#unit);
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
    for (let p = 1; p < this.#parts; p++) if (this.#f[p] > this.#f[best]) best = p;
    this.#shares[best] = 1;
  }

  /** Lay the model around x into the step and solve it; returns its height. Variables are scaled to colour change. */
  #solveStep(x: Float64Array, { low, high, a, b, equalities }: Limits, radius: number): number {
    const n = this.#n;
    const step = this.#step;
    const unit = this.#unit;
    step.f.set(this.#f);
    for (let p = 0; p < this.#parts; p++) {
      for (let i = 0; i < n; i++) step.g[p * n + i] = this.#G[p * n + i] / unit[i];
    }
    const H = step.H;
    H.fill(0);
    for (let p = 0; p < this.#parts; p++) {
      const share = this.#shares[p];
      if (share <= 0) continue;
      const from = p * n * n;
      for (let k = 0; k < n * n; k++) H[k] += share * this.#Hs[from + k];
    }
    for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) H[i * n + j] /= unit[i] * unit[j];
    this.#makePositive(H);
    for (let i = 0; i < n; i++) {
      step.low[i] = Math.max(-radius, (low[i] - x[i]) * unit[i]);
      step.high[i] = Math.min(radius, (high[i] - x[i]) * unit[i]);
    }
    for (let r = 0; r < this.#rows; r++) {
      let used = 0;
      for (let i = 0; i < n; i++) {
        used += a[r * n + i] * x[i];
        step.a[r * n + i] = a[r * n + i] / unit[i];
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

  /** Set the trial point; returns the length of the step in units of colour change (greatest coordinate). */
  #moveTo(x: Float64Array, { low, high }: Limits): number {
    let reach = 0;
    for (let i = 0; i < this.#n; i++) {
      const d = this.#step.d[i];
      reach = Math.max(reach, Math.abs(d));
      const limit = this.#step;
      // Exact limits, so that a dose at its limit stays there to the last bit.
      let to = x[i] + d / this.#unit[i];
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
