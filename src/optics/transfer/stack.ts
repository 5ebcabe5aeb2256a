import { addProductInto, applyInto, multiplyInto, solveInPlace } from "../../fit/denseAlgebra.ts";
import { type Slab, SlabSolver } from "./slab.ts";
import { type Streams, streamsOf } from "./streams.ts";

/** Albedo ω and optical thickness τ of a film. */
interface OpticalFilm {
  readonly albedo: number;
  readonly thickness: number;
}

/**
 * True coefficients of a film from its two-flux ones: K = 2k, S = ¾·s·(1 − g).
 *
 * Source: Mudgett, Richards 1971; Gate 1974 (from memory). It takes K and S at their word: coefficients
 * fitted to one film thickness have part of the error of two-flux theory in them already.
 */
export function opticalFilm(K: number, S: number, X: number, anisotropy = 0): OpticalFilm {
  const k = K / 2;
  const s = (4 * S) / (3 * (1 - anisotropy));
  const sum = k + s;
  return { albedo: sum > 0 ? s / sum : 0, thickness: sum * X };
}

/** Directions followed in each hemisphere when nothing else is asked for. */
export const usualStreams = 8;

/** Reflectances of stacks over Lambertian grounds; holds its work space. */
export class StackSolver {
  readonly #streams: Streams;
  readonly #slabs: SlabSolver;
  readonly #system: Float64Array;
  readonly #product: Float64Array;
  readonly #ones: Float64Array;
  readonly #v: Float64Array;
  readonly #w: Float64Array;

  constructor(streams = usualStreams) {
    this.#streams = streamsOf(streams);
    this.#slabs = new SlabSolver(this.#streams);
    this.#system = new Float64Array(streams * streams);
    this.#product = new Float64Array(streams * streams);
    this.#ones = new Float64Array(streams).fill(1);
    this.#v = new Float64Array(streams);
    this.#w = new Float64Array(streams);
  }

  /** @throws RangeError for a value out of range */
  slab({ albedo, thickness }: OpticalFilm, anisotropy = 0): Slab {
    return this.#slabs.slab(albedo, thickness, anisotropy);
  }

  /**
   * Reflectance for diffuse light of slabs over a Lambertian ground.
   *
   * @param slabs top to bottom, of this solver; may be none   @param Rg reflectance of the ground, 0…1
   * Source: adding method (van de Hulst 1980).
   */
  over(slabs: readonly Slab[], Rg: number): number {
    if (slabs.length === 0) return Rg;
    const n = this.#streams.length;
    const { flux } = this.#streams;
    const last = slabs[slabs.length - 1];
    const v = this.#v;
    const w = this.#w;
    // The ground answers with the same intensity in every direction, so that the lowest slab over it is that
    // slab plus a product of two vectors: what comes through to the top, and how much of each direction
    // reaches the ground.
    applyInto(last.reflection, this.#ones, n, v);
    let r = 0;
    for (let i = 0; i < n; i++) r += flux[i] * v[i];
    const answered = Rg / (1 - Rg * r);
    applyInto(last.transmission, this.#ones, n, v);
    let t = 0;
    for (let i = 0; i < n; i++) t += flux[i] * v[i];
    if (slabs.length === 1) return r + answered * t * t;
    let below: Float64Array = Float64Array.from(last.reflection);
    for (let j = 0; j < n; j++) {
      let reach = 0;
      for (let i = 0; i < n; i++) reach += flux[i] * last.transmission[i * n + j];
      for (let i = 0; i < n; i++) below[i * n + j] += answered * reach * v[i];
    }
    for (let layer = slabs.length - 2; layer >= 1; layer--) below = this.#add(slabs[layer], below);
    // Only the answer to diffuse light is asked of the topmost.
    const { reflection, transmission } = slabs[0];
    this.#betweenInto(reflection, below);
    applyInto(transmission, this.#ones, n, v);
    solveInPlace(this.#system, v, n, n, 0);
    applyInto(below, v, n, w);
    applyInto(transmission, w, n, v);
    applyInto(reflection, this.#ones, n, w);
    let sum = 0;
    for (let i = 0; i < n; i++) sum += flux[i] * (v[i] + w[i]);
    return sum;
  }

  /** 1 − reflection·below */
  #betweenInto(reflection: Float64Array, below: Float64Array): void {
    const n = this.#streams.length;
    const system = this.#system;
    multiplyInto(reflection, below, n, system);
    for (let m = 0; m < n * n; m++) system[m] = -system[m];
    for (let i = 0; i < n; i++) system[i * n + i] += 1;
  }

  #add({ reflection, transmission }: Slab, below: Float64Array): Float64Array {
    const n = this.#streams.length;
    const caught = Float64Array.from(transmission);
    this.#betweenInto(reflection, below);
    solveInPlace(this.#system, caught, n, n, 0, n);
    multiplyInto(below, caught, n, this.#product);
    const sum = Float64Array.from(reflection);
    addProductInto(transmission, this.#product, 1, n, sum);
    return sum;
  }
}
