/** A spectral part of the objective: root mean square difference of seen reflectance in per cent. */
export interface SpectralTerm {
  readonly seen: Float64Array;
  readonly weight: number;
  /** Weight of each wavelength; all 1 when left out. */
  readonly wavelengthWeights?: Float64Array;
}

/** The spectral part, weight·(√(mean square + ε²) − ε), with derivatives. For hot loops: allocates nothing. */
export class SpectralDistance {
  readonly #target: Float64Array;
  readonly #weight: number;
  /** Share of each wavelength in the mean, for reflectance in per cent; none is left out unless its weight is 0. */
  readonly #shares: Float64Array;
  /** Slope of the term's root by reflectance, not yet over E, and its curvature; see `derivatives`. */
  readonly #steep: Float64Array;
  #half = 0;
  #bend = 0;

  constructor({ seen, weight, wavelengthWeights }: SpectralTerm) {
    this.#target = seen;
    this.#weight = weight;
    const weights = wavelengthWeights ?? new Float64Array(seen.length).fill(1);
    const total = weights.reduce((sum, w) => sum + w, 0);
    this.#shares = weights.map((w) => (total > 0 ? (1e4 * w) / total : 0));
    this.#steep = new Float64Array(seen.length);
  }

  #square(seen: Float64Array): number {
    let sum = 0;
    for (let k = 0; k < seen.length; k++) {
      const d = seen[k] - this.#target[k];
      sum += this.#shares[k] * d * d;
    }
    return sum;
  }

  value(seen: Float64Array, smoothing: number): number {
    return this.#weight * (Math.sqrt(this.#square(seen) + smoothing * smoothing) - smoothing);
  }

  /** The term; its derivatives by reflectance are added to `pull`. */
  derivatives(seen: Float64Array, smoothing: number, pull: Float64Array): number {
    const E = Math.sqrt(this.#square(seen) + smoothing * smoothing);
    this.#half = E > 0 ? this.#weight / E : 0;
    this.#bend = E > 0 ? this.#half / (E * E) : 0;
    for (let k = 0; k < seen.length; k++) {
      this.#steep[k] = this.#shares[k] * (seen[k] - this.#target[k]);
      pull[k] += this.#half * this.#steep[k];
    }
    return this.#weight * (E - smoothing);
  }

  /**
   * Add the curvature of the last `derivatives` to the upper half of a Hessian.
   * @param slopes slope of the seen reflectance by each variable, row i from i·length   @param along work space, n numbers
   */
  addCurvature(
    slopes: Float64Array,
    n: number,
    hessian: Float64Array,
    at: number,
    along: Float64Array,
  ): void {
    const length = this.#steep.length;
    for (let i = 0; i < n; i++) {
      let sum = 0;
      for (let k = 0; k < length; k++) sum += this.#steep[k] * slopes[i * length + k];
      along[i] = sum;
    }
    for (let i = 0; i < n; i++) {
      for (let j = i; j < n; j++) {
        let sum = 0;
        for (let k = 0; k < length; k++)
          sum += this.#shares[k] * slopes[i * length + k] * slopes[j * length + k];
        hessian[at + i * n + j] += this.#half * sum - this.#bend * along[i] * along[j];
      }
    }
  }
}
