import { solveInPlace } from "./denseAlgebra.ts";

/** Where a variable stands: between its limits, at one of them, or held because they leave no room. */
const place = { free: 0, low: -1, high: 1, held: 2 } as const;

type LimitKind = "none" | "objective" | "row" | "low" | "high";

/**
 * The step of a bounded minimax problem: find d that minimises
 *   max over objectives (fₒ + gₒ·d) + ½ dᵀHd
 * within low ≤ d ≤ high and rows aᵣ·d ≤ bᵣ (the first `equalities` rows hold as aᵣ·d = bᵣ).
 *
 * A small dense quadratic programme, solved by a primal active-set method (Nocedal, Wright, Numerical Optimization, 2006,
 * algorithm 16.3) in which the height of the maximum is eliminated through one of the objectives that reach it. H must be
 * positive definite, and d = 0 must keep all limits (equalities with bᵣ = 0). Work space is kept: solving allocates nothing.
 */
export class MinimaxStep {
  readonly #n: number;
  readonly #count: number;
  readonly #rows: number;
  /** Height of each objective at d = 0. */
  readonly f: Float64Array;
  /** Slopes of the objectives, row o from o·n. */
  readonly g: Float64Array;
  /** Curvature, n × n. */
  readonly H: Float64Array;
  readonly low: Float64Array;
  readonly high: Float64Array;
  /** Row r from r·n. */
  readonly a: Float64Array;
  readonly b: Float64Array;
  /** The answer. */
  readonly d: Float64Array;
  /** Share of each objective in the maximum (multipliers, sum 1). */
  readonly shares: Float64Array;
  /** Where each variable stands between its limits. */
  readonly #bound: Int8Array;
  readonly #active: Uint8Array;
  readonly #rowActive: Uint8Array;
  readonly #free: Int32Array;
  readonly #rowOf: Int32Array;
  readonly #matrix: Float64Array;
  readonly #right: Float64Array;
  readonly #q: Float64Array;
  readonly #p: Float64Array;
  readonly #width: number;
  #pivot = 0;
  /** The limit found last, and its multiplier or the room up to it. */
  #kind: LimitKind = "none";
  #which = -1;
  #least = 0;

  constructor(variables: number, objectives: number, rows: number) {
    this.#n = variables;
    this.#count = objectives;
    this.#rows = rows;
    const width = variables + objectives + rows;
    this.#width = width;
    this.f = new Float64Array(objectives);
    this.g = new Float64Array(objectives * variables);
    this.H = new Float64Array(variables * variables);
    this.low = new Float64Array(variables);
    this.high = new Float64Array(variables);
    this.a = new Float64Array(rows * variables);
    this.b = new Float64Array(rows);
    this.d = new Float64Array(variables);
    this.shares = new Float64Array(objectives);
    this.#bound = new Int8Array(variables);
    this.#active = new Uint8Array(objectives);
    this.#rowActive = new Uint8Array(rows);
    this.#free = new Int32Array(variables);
    this.#rowOf = new Int32Array(objectives + rows);
    this.#matrix = new Float64Array(width * width);
    this.#right = new Float64Array(width);
    this.#q = new Float64Array(variables);
    this.#p = new Float64Array(variables);
  }

  /**
   * Solve for the problem laid into f, g, H, low, high, a, b.
   * @returns the height of the model at d: max(f + g·d) + ½ dᵀHd
   */
  solve(equalities = 0): number {
    const n = this.#n;
    const { d, f, shares } = this;
    d.fill(0);
    shares.fill(0);
    this.#active.fill(0);
    this.#pivot = 0;
    for (let o = 1; o < this.#count; o++) if (f[o] > f[this.#pivot]) this.#pivot = o;
    this.#active[this.#pivot] = 1;
    for (let r = 0; r < this.#rows; r++) this.#rowActive[r] = r < equalities ? 1 : 0;
    for (let i = 0; i < n; i++) {
      // A limit that leaves no room is held from the start.
      this.#bound[i] = this.high[i] - this.low[i] <= 0 ? place.held : place.free;
    }
    const limit = 40 + 8 * (n + this.#count + this.#rows);
    for (let iteration = 0; iteration < limit; iteration++) {
      if (!this.#equalityStep()) this.#advance();
      else if (!this.#release(equalities)) break;
    }
    return this.#height();
  }

  #height(): number {
    const { d, f, g, H } = this;
    const n = this.#n;
    let top = -Infinity;
    for (let o = 0; o < this.#count; o++) top = Math.max(top, f[o] + along(g, o * n, d));
    let bend = 0;
    for (let i = 0; i < n; i++) bend += along(H, i * n, d) * d[i];
    return top + bend / 2;
  }

  /** Step to the minimum on the active limits, left in #p with multipliers in #right; true when there is none to make. */
  #equalityStep(): boolean {
    const n = this.#n;
    const { d, g, H, a } = this;
    const q = this.#q;
    const free = this.#free;
    const top = this.#pivot * n;
    let nf = 0;
    for (let i = 0; i < n; i++) {
      q[i] = g[top + i] + along(H, i * n, d);
      if (this.#bound[i] === place.free) free[nf++] = i;
    }
    let nc = 0;
    for (let o = 0; o < this.#count; o++) if (this.#active[o] && o !== this.#pivot) this.#rowOf[nc++] = o;
    for (let r = 0; r < this.#rows; r++) if (this.#rowActive[r]) this.#rowOf[nc++] = this.#count + r;
    const size = nf + nc;
    const width = this.#width;
    const A = this.#matrix;
    const right = this.#right;
    for (let i = 0; i < nf; i++) {
      const row = i * width;
      for (let j = 0; j < nf; j++) A[row + j] = H[free[i] * n + free[j]];
      right[i] = -q[free[i]];
    }
    for (let c = 0; c < nc; c++) {
      const which = this.#rowOf[c];
      const row = (nf + c) * width;
      for (let i = 0; i < nf; i++) {
        const k = free[i];
        const v = which < this.#count ? g[which * n + k] - g[top + k] : a[(which - this.#count) * n + k];
        A[row + i] = v;
        A[i * width + nf + c] = v;
      }
      for (let j = 0; j < nc; j++) A[row + nf + j] = 0;
      right[nf + c] = 0;
    }
    solveInPlace(A, right, size, width);
    let largest = 0;
    this.#p.fill(0);
    for (let i = 0; i < nf; i++) {
      this.#p[free[i]] = right[i];
      largest = Math.max(largest, Math.abs(right[i]));
    }
    for (let c = 0; c < nc; c++) right[c] = right[nf + c];
    return largest < 1e-11;
  }

  /** Give up the active limit whose multiplier has the wrong sign most; false when none has, at the minimum. */
  #release(equalities: number): boolean {
    const n = this.#n;
    const { g, a, shares } = this;
    const top = this.#pivot * n;
    this.#meet("none", -1, -1e-9);
    let pivotShare = 1;
    shares.fill(0);
    let nc = 0;
    for (let o = 0; o < this.#count; o++) {
      if (!this.#active[o] || o === this.#pivot) continue;
      shares[o] = this.#right[nc++];
      pivotShare -= shares[o];
      if (shares[o] < this.#least) this.#meet("objective", o, shares[o]);
    }
    shares[this.#pivot] = pivotShare;
    if (pivotShare < this.#least) this.#meet("objective", this.#pivot, pivotShare);
    const rowsFrom = nc;
    for (let r = 0; r < this.#rows; r++) {
      if (!this.#rowActive[r]) continue;
      const multiplier = this.#right[nc++];
      if (r >= equalities && multiplier < this.#least) this.#meet("row", r, multiplier);
    }
    for (let i = 0; i < n; i++) {
      const at = this.#bound[i];
      if (at === place.free || at === place.held) continue;
      let slope = this.#q[i];
      for (let o = 0; o < this.#count; o++) {
        if (this.#active[o] && o !== this.#pivot) slope += shares[o] * (g[o * n + i] - g[top + i]);
      }
      let c = rowsFrom;
      for (let r = 0; r < this.#rows; r++) if (this.#rowActive[r]) slope += this.#right[c++] * a[r * n + i];
      const multiplier = at === place.low ? slope : -slope;
      if (multiplier < this.#least) this.#meet(at === place.low ? "low" : "high", i, multiplier);
    }
    if (this.#kind === "none") return false;
    this.#setLimit(false);
    if (this.#kind === "objective" && this.#which === this.#pivot) {
      let best = -1;
      for (let o = 0; o < this.#count; o++) {
        if (this.#active[o] && (best < 0 || shares[o] > shares[best])) best = o;
      }
      this.#pivot = best;
    }
    return true;
  }

  /** Walk along #p to the minimum or to the first limit in the way, which becomes active. */
  #advance(): void {
    const n = this.#n;
    const { d, f, g, low, high, a, b } = this;
    const p = this.#p;
    this.#meet("none", -1, 1);
    for (let i = 0; i < n; i++) {
      if (this.#bound[i] !== place.free || p[i] === 0) continue;
      const room = ((p[i] < 0 ? low[i] : high[i]) - d[i]) / p[i];
      if (room < this.#least) this.#meet(p[i] < 0 ? "low" : "high", i, room);
    }
    const topNow = f[this.#pivot] + along(g, this.#pivot * n, d);
    const topRate = along(g, this.#pivot * n, p);
    for (let o = 0; o < this.#count; o++) {
      if (this.#active[o]) continue;
      const closing = along(g, o * n, p) - topRate;
      if (closing <= 1e-14) continue;
      const room = (topNow - f[o] - along(g, o * n, d)) / closing;
      if (room < this.#least) this.#meet("objective", o, room);
    }
    for (let r = 0; r < this.#rows; r++) {
      if (this.#rowActive[r]) continue;
      const rate = along(a, r * n, p);
      if (rate <= 1e-14) continue;
      const room = (b[r] - along(a, r * n, d)) / rate;
      if (room < this.#least) this.#meet("row", r, room);
    }
    const step = Math.max(this.#least, 0);
    for (let i = 0; i < n; i++) if (this.#bound[i] === place.free) d[i] += step * p[i];
    if (this.#kind !== "none") this.#setLimit(true);
  }

  /** Note the limit found so far, and what it was found by. */
  #meet(kind: LimitKind, which: number, least: number): void {
    this.#kind = kind;
    this.#which = which;
    this.#least = least;
  }

  /** Hold the limit met last, or give it up. */
  #setLimit(held: boolean): void {
    const which = this.#which;
    if (this.#kind === "objective") this.#active[which] = held ? 1 : 0;
    else if (this.#kind === "row") this.#rowActive[which] = held ? 1 : 0;
    else {
      const atLow = this.#kind === "low";
      this.#bound[which] = !held ? place.free : atLow ? place.low : place.high;
      if (held) this.d[which] = atLow ? this.low[which] : this.high[which];
    }
  }
}

/** Row of a matrix from `at` times v. */
function along(matrix: Float64Array, at: number, v: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < v.length; i++) sum += matrix[at + i] * v[i];
  return sum;
}
