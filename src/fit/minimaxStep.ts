import { solveInPlace } from "./denseAlgebra.ts";

/**
 * The step of a bounded minimax problem: find d that minimises
 *   max over parts (fₚ + gₚ·d) + ½ dᵀHd
 * within low ≤ d ≤ high and rows aᵣ·d ≤ bᵣ (the first `equalities` rows hold as aᵣ·d = bᵣ).
 *
 * A small dense quadratic programme, solved by a primal active-set method (Nocedal, Wright, Numerical Optimization, 2006,
 * algorithm 16.3) in which the height of the maximum is eliminated through one of the parts that reach it. H must be
 * positive definite, and d = 0 must keep all limits (equalities with bᵣ = 0). Work space is kept: solving allocates nothing.
 */
export class MinimaxStep {
  readonly #n: number;
  readonly #parts: number;
  readonly #rows: number;
  /** Height of each part at d = 0. */
  readonly f: Float64Array;
  /** Slopes of the parts, row p from p·n. */
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
  /** Share of each part in the maximum (multipliers, sum 1). */
  readonly shares: Float64Array;
  readonly #bound: Int8Array;
  readonly #partActive: Uint8Array;
  readonly #rowActive: Uint8Array;
  readonly #free: Int32Array;
  readonly #rowOf: Int32Array;
  readonly #matrix: Float64Array;
  readonly #right: Float64Array;
  readonly #q: Float64Array;
  readonly #p: Float64Array;
  readonly #width: number;
  #pivot = 0;

  constructor(variables: number, parts: number, rows: number) {
    this.#n = variables;
    this.#parts = parts;
    this.#rows = rows;
    const width = variables + parts + rows;
    this.#width = width;
    this.f = new Float64Array(parts);
    this.g = new Float64Array(parts * variables);
    this.H = new Float64Array(variables * variables);
    this.low = new Float64Array(variables);
    this.high = new Float64Array(variables);
    this.a = new Float64Array(rows * variables);
    this.b = new Float64Array(rows);
    this.d = new Float64Array(variables);
    this.shares = new Float64Array(parts);
    this.#bound = new Int8Array(variables);
    this.#partActive = new Uint8Array(parts);
    this.#rowActive = new Uint8Array(rows);
    this.#free = new Int32Array(variables);
    this.#rowOf = new Int32Array(parts + rows);
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
    this.#partActive.fill(0);
    this.#pivot = 0;
    for (let p = 1; p < this.#parts; p++) if (f[p] > f[this.#pivot]) this.#pivot = p;
    this.#partActive[this.#pivot] = 1;
    for (let r = 0; r < this.#rows; r++) this.#rowActive[r] = r < equalities ? 1 : 0;
    for (let i = 0; i < n; i++) {
      // A limit that leaves no room is held from the start.
      this.#bound[i] = this.high[i] - this.low[i] <= 0 ? 2 : 0;
    }
    const limit = 40 + 8 * (n + this.#parts + this.#rows);
    for (let iteration = 0; iteration < limit; iteration++) {
      if (this.#equalityStep(equalities)) {
        if (!this.#release(equalities)) break;
      } else {
        this.#advance();
      }
    }
    return this.#height();
  }

  #height(): number {
    const { d, f, g, H } = this;
    const n = this.#n;
    let top = -Infinity;
    for (let p = 0; p < this.#parts; p++) {
      let v = f[p];
      for (let i = 0; i < n; i++) v += g[p * n + i] * d[i];
      if (v > top) top = v;
    }
    let bend = 0;
    for (let i = 0; i < n; i++) {
      let sum = 0;
      for (let j = 0; j < n; j++) sum += H[i * n + j] * d[j];
      bend += sum * d[i];
    }
    return top + bend / 2;
  }

  /** Step to the minimum on the active limits, left in #p with multipliers in #right; true when there is none to make. */
  #equalityStep(equalities: number): boolean {
    const n = this.#n;
    const { d, g, H, a } = this;
    const q = this.#q;
    const free = this.#free;
    const top = this.#pivot * n;
    let nf = 0;
    for (let i = 0; i < n; i++) {
      let sum = g[top + i];
      for (let j = 0; j < n; j++) sum += H[i * n + j] * d[j];
      q[i] = sum;
      if (this.#bound[i] === 0) free[nf++] = i;
    }
    let nc = 0;
    for (let p = 0; p < this.#parts; p++) {
      if (this.#partActive[p] && p !== this.#pivot) this.#rowOf[nc++] = p;
    }
    for (let r = 0; r < this.#rows; r++) if (this.#rowActive[r]) this.#rowOf[nc++] = this.#parts + r;
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
        const v = which < this.#parts ? g[which * n + k] - g[top + k] : a[(which - this.#parts) * n + k];
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
    void equalities;
    return largest < 1e-11;
  }

  /** Give up the active limit whose multiplier has the wrong sign most; false when none has, at the minimum. */
  #release(equalities: number): boolean {
    const n = this.#n;
    const { g, a, shares } = this;
    const parts = this.#parts;
    const top = this.#pivot * n;
    let kind = 0;
    let which = -1;
    let worst = -1e-9;
    let pivotShare = 1;
    shares.fill(0);
    let nc = 0;
    for (let p = 0; p < parts; p++) {
      if (!this.#partActive[p] || p === this.#pivot) continue;
      const share = this.#right[nc++];
      shares[p] = share;
      pivotShare -= share;
      if (share < worst) [worst, kind, which] = [share, 1, p];
    }
    shares[this.#pivot] = pivotShare;
    if (pivotShare < worst) [worst, kind, which] = [pivotShare, 1, this.#pivot];
    const rowsFrom = nc;
    for (let r = 0; r < this.#rows; r++) {
      if (!this.#rowActive[r]) continue;
      const multiplier = this.#right[nc++];
      if (r >= equalities && multiplier < worst) [worst, kind, which] = [multiplier, 2, r];
    }
    for (let i = 0; i < n; i++) {
      const at = this.#bound[i];
      if (at === 0 || at === 2) continue;
      let slope = this.#q[i];
      for (let p = 0; p < parts; p++) {
        if (this.#partActive[p] && p !== this.#pivot) slope += shares[p] * (g[p * n + i] - g[top + i]);
      }
      let c = rowsFrom;
      for (let r = 0; r < this.#rows; r++) if (this.#rowActive[r]) slope += this.#right[c++] * a[r * n + i];
      const multiplier = at < 0 ? slope : -slope;
      if (multiplier < worst) [worst, kind, which] = [multiplier, 3, i];
    }
    if (kind === 0) return false;
    if (kind === 1) {
      this.#partActive[which] = 0;
      if (which === this.#pivot) {
        let best = -1;
        for (let p = 0; p < parts; p++) {
          if (this.#partActive[p] && (best < 0 || shares[p] > shares[best])) best = p;
        }
        this.#pivot = best;
      }
    } else if (kind === 2) this.#rowActive[which] = 0;
    else this.#bound[which] = 0;
    return true;
  }

  /** Walk along #p to the minimum or to the first limit in the way, which becomes active. */
  #advance(): void {
    const n = this.#n;
    const { d, f, g, low, high, a, b } = this;
    const p = this.#p;
    const top = this.#pivot * n;
    let step = 1;
    let kind = 0;
    let which = -1;
    for (let i = 0; i < n; i++) {
      if (this.#bound[i] !== 0) continue;
      if (p[i] < 0) {
        const room = (low[i] - d[i]) / p[i];
        if (room < step) [step, kind, which] = [room, 3, i];
      } else if (p[i] > 0) {
        const room = (high[i] - d[i]) / p[i];
        if (room < step) [step, kind, which] = [room, 4, i];
      }
    }
    let topNow = f[this.#pivot];
    let topRate = 0;
    for (let i = 0; i < n; i++) {
      topNow += g[top + i] * d[i];
      topRate += g[top + i] * p[i];
    }
    for (let q = 0; q < this.#parts; q++) {
      if (this.#partActive[q]) continue;
      let now = f[q];
      let rate = 0;
      for (let i = 0; i < n; i++) {
        now += g[q * n + i] * d[i];
        rate += g[q * n + i] * p[i];
      }
      const closing = rate - topRate;
      if (closing > 1e-14) {
        const room = (topNow - now) / closing;
        if (room < step) [step, kind, which] = [room, 1, q];
      }
    }
    for (let r = 0; r < this.#rows; r++) {
      if (this.#rowActive[r]) continue;
      let now = 0;
      let rate = 0;
      for (let i = 0; i < n; i++) {
        now += a[r * n + i] * d[i];
        rate += a[r * n + i] * p[i];
      }
      if (rate > 1e-14) {
        const room = (b[r] - now) / rate;
        if (room < step) [step, kind, which] = [room, 2, r];
      }
    }
    step = Math.max(step, 0);
    for (let i = 0; i < n; i++) if (this.#bound[i] === 0) d[i] += step * p[i];
    if (kind === 1) this.#partActive[which] = 1;
    else if (kind === 2) this.#rowActive[which] = 1;
    else if (kind === 3) {
      this.#bound[which] = -1;
      d[which] = low[which];
    } else if (kind === 4) {
      this.#bound[which] = 1;
      d[which] = high[which];
    }
  }
}
