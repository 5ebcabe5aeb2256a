import { atLeastZero, each, fraction, ofLength, within } from "../../colour/checks.ts";
import { addProductInto, applyInto, multiplyInto, solveInPlace } from "../../fit/denseAlgebra.ts";
import { type Slab, SlabSolver } from "./slab.ts";
import { type Streams, streamsOf } from "./streams.ts";

/**
 * One film of a stack, with two-flux coefficients as everywhere else, 1/µm of dry film, and thickness in µm.
 */
export interface TransferLayer {
  readonly absorption: ArrayLike<number>;
  readonly scattering: ArrayLike<number>;
  readonly dryThickness: number;
  /** Mean cosine g of scattering; 0 (isotropic) when left out. */
  readonly anisotropy?: number;
}

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

/**
 * Exact internal reflectance, for diffuse light, of a stack of films over one or several Lambertian grounds:
 * plane-parallel multiple scattering with matched refractive indices, on the grid of the layers.
 *
 * @param layers top to bottom   @param grounds internal reflectances, 0…1, one spectrum for each part
 * @param streams directions in each hemisphere; 8 err by less than 1e-5 for films of paint
 * @returns one spectrum for each ground
 * @throws RangeError for a value out of range, TypeError when lengths differ
 * Source: adding and doubling (van de Hulst 1980); coefficients by Mudgett, Richards 1971.
 */
export function exactReflectances(
  layers: readonly TransferLayer[],
  grounds: readonly ArrayLike<number>[],
  streams = usualStreams,
): Float64Array[] {
  if (grounds.length === 0) return [];
  const { length } = grounds[0];
  checkStack(layers, grounds);
  const solver = new StackSolver(streams);
  const out = grounds.map(() => new Float64Array(length));
  const slabs: Slab[] = new Array(layers.length);
  for (let i = 0; i < length; i++) {
    layers.forEach(({ absorption, scattering, dryThickness, anisotropy }, j) => {
      slabs[j] = solver.slab(opticalFilm(absorption[i], scattering[i], dryThickness, anisotropy), anisotropy);
    });
    grounds.forEach((ground, g) => {
      out[g][i] = solver.over(slabs, ground[i]);
    });
  }
  return out;
}

/** @throws RangeError, TypeError */
function checkStack(layers: readonly TransferLayer[], grounds: readonly ArrayLike<number>[]): void {
  const { length } = grounds[0];
  for (const ground of grounds) {
    ofLength("ground reflectance", ground, length);
    each("ground reflectance", ground, fraction);
  }
  layers.forEach(({ absorption, scattering, dryThickness, anisotropy = 0 }, j) => {
    ofLength(`absorption of layer ${j + 1}`, absorption, length);
    ofLength(`scattering of layer ${j + 1}`, scattering, length);
    each(`absorption of layer ${j + 1}`, absorption, atLeastZero, "1/µm");
    each(`scattering of layer ${j + 1}`, scattering, atLeastZero, "1/µm");
    atLeastZero(`dry thickness of layer ${j + 1}`, dryThickness, "µm");
    within(`anisotropy of layer ${j + 1}`, anisotropy, -0.999, 0.999);
  });
}
