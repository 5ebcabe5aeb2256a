import { atLeastZero, within } from "../../colour/checks.ts";
import { addProductInto, multiplyInto, solveInPlace } from "../../fit/denseAlgebra.ts";
import { type Exchange, exchangeInto, mediumFor } from "./scattering.ts";
import type { Streams } from "./streams.ts";

/** A homogeneous slab as it meets light from every direction; matched refractive index, both sides alike. */
export interface Slab {
  readonly streams: Streams;
  /** Row i, column j: intensity leaving in direction i for unit intensity arriving in direction j. */
  readonly reflection: Float64Array;
  readonly transmission: Float64Array;
}

// Terms of the power series in τ from which doubling starts, and the thickness it starts from in units of the
// flattest stream's cosine: the first term left out is below 1e-12 of that stream.
const order = 6;
const firstStep = 1 / 16;

/** Solves slabs of one set of streams; holds its work space, so that only the result is allocated. */
export class SlabSolver {
  readonly streams: Streams;
  readonly #n: number;
  readonly #exchange: Exchange;
  readonly #Rs: Float64Array[];
  readonly #Ts: Float64Array[];
  readonly #BRs: Float64Array[];
  readonly #system: Float64Array;
  readonly #Y: Float64Array;
  readonly #Z: Float64Array;

  constructor(streams: Streams) {
    this.streams = streams;
    const n = streams.length;
    this.#n = n;
    const matrix = () => new Float64Array(n * n);
    this.#exchange = { A: matrix(), B: matrix() };
    this.#Rs = Array.from({ length: order + 1 }, matrix);
    this.#Ts = Array.from({ length: order + 1 }, matrix);
    this.#BRs = Array.from({ length: order + 1 }, matrix);
    this.#system = matrix();
    this.#Y = matrix();
    this.#Z = matrix();
  }

  /**
   * Reflection and transmission of a slab.
   *
   * @param albedo single-scattering albedo ω, 0…1   @param thickness optical thickness τ, ≥ 0
   * @param anisotropy mean cosine g of the Henyey-Greenstein phase function, above −1, below 1; 0 is isotropic
   * @throws RangeError for a value out of range
   * Source: van de Hulst 1980 (doubling); thin slab: power series of the equations of invariant embedding
   * (Ambarzumian 1943, Chandrasekhar 1950, §50 ff.; from memory): R′ = B − AR − RA + RBR, T′ = T(BR − A).
   */
  slab(albedo: number, thickness: number, anisotropy = 0): Slab {
    within("single-scattering albedo", albedo, 0, 1);
    atLeastZero("optical thickness", thickness);
    within("anisotropy g", anisotropy, -0.999, 0.999);
    const n = this.#n;
    const reflection = new Float64Array(n * n);
    const transmission = new Float64Array(n * n);
    const medium = mediumFor(albedo, thickness, anisotropy, this.streams);
    if (medium.thickness === 0) {
      for (let i = 0; i < n; i++) transmission[i * n + i] = 1;
      return { streams: this.streams, reflection, transmission };
    }
    exchangeInto(medium, this.streams, this.#exchange);
    let flattest = 1;
    for (const cosine of this.streams.cosines) flattest = Math.min(flattest, cosine);
    const doublings = Math.max(0, Math.ceil(Math.log2(medium.thickness / (firstStep * flattest))));
    this.#thin(medium.thickness / 2 ** doublings, reflection, transmission);
    for (let d = 0; d < doublings; d++) {
      this.#double(reflection, transmission);
      if (isDark(transmission)) break;
    }
    return { streams: this.streams, reflection, transmission };
  }

  #thin(tau: number, R: Float64Array, T: Float64Array): void {
    const n = this.#n;
    const { A, B } = this.#exchange;
    const Rs = this.#Rs;
    const Ts = this.#Ts;
    const BRs = this.#BRs;
    Rs[0].fill(0);
    BRs[0].fill(0);
    Ts[0].fill(0);
    for (let i = 0; i < n; i++) Ts[0][i * n + i] = 1;
    for (let k = 0; k < order; k++) {
      const next = Rs[k + 1];
      if (k === 0) next.set(B);
      else {
        next.fill(0);
        addProductInto(A, Rs[k], -1, n, next);
        addProductInto(Rs[k], A, -1, n, next);
        for (let i = 1; i < k; i++) addProductInto(Rs[i], BRs[k - i], 1, n, next);
      }
      const through = Ts[k + 1];
      through.fill(0);
      addProductInto(Ts[k], A, -1, n, through);
      for (let i = 0; i < k; i++) addProductInto(Ts[i], BRs[k - i], 1, n, through);
      for (let m = 0; m < n * n; m++) {
        next[m] /= k + 1;
        through[m] /= k + 1;
      }
      multiplyInto(B, next, n, BRs[k + 1]);
    }
    // Horner's scheme.
    R.set(Rs[order]);
    T.set(Ts[order]);
    for (let k = order - 1; k >= 0; k--) {
      for (let m = 0; m < n * n; m++) {
        R[m] = R[m] * tau + Rs[k][m];
        T[m] = T[m] * tau + Ts[k][m];
      }
    }
  }

  /** R ← R + T·R·(1 − R²)⁻¹·T, T ← T·(1 − R²)⁻¹·T. */
  #double(R: Float64Array, T: Float64Array): void {
    const n = this.#n;
    const system = this.#system;
    const Y = this.#Y;
    const Z = this.#Z;
    multiplyInto(R, R, n, system);
    for (let m = 0; m < n * n; m++) system[m] = -system[m];
    for (let i = 0; i < n; i++) system[i * n + i] += 1;
    Y.set(T);
    solveInPlace(system, Y, n, n, 0, n);
    multiplyInto(R, Y, n, Z);
    addProductInto(T, Z, 1, n, R);
    multiplyInto(T, Y, n, Z);
    T.set(Z);
  }
}

/** No light left worth following. */
function isDark(transmission: Float64Array): boolean {
  for (let m = 0; m < transmission.length; m++) if (Math.abs(transmission[m]) > 1e-16) return false;
  return true;
}
