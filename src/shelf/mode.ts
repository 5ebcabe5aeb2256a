import { factorInPlace, solveFactored } from "../fit/denseAlgebra.ts";
import { readingError } from "./readingError.ts";
import type { ShelfModel } from "./shelfModel.ts";

/** The most likely unknowns and the curvature there. */
export interface Mode {
  readonly q: Float64Array;
  /** Cholesky factor of the curvature (Gauss and Newton's), lower triangle, row by row */
  readonly factor: Float64Array;
  readonly cost: number;
  readonly steps: number;
}

const { freedom, independent, scaleSigma } = readingError;
/** A step that gains less than this in the logarithm of the posterior changes nothing that draws would show. */
const enough = 0.02;

/** Room for the whitened Jacobians, made once. */
class Curvature {
  readonly H: Float64Array;
  readonly #jacobian: Float64Array;
  readonly #columns: Float64Array;
  readonly #unknowns: Int32Array;
  readonly #residual: Float64Array;

  constructor(readonly model: ShelfModel) {
    const { size, points } = model.compiled;
    this.H = new Float64Array(size * size);
    this.#jacobian = new Float64Array(points * size);
    this.#columns = new Float64Array(points * size);
    this.#unknowns = new Int32Array(2 * size);
    this.#residual = new Float64Array(points);
  }

  /** Fills the lower triangle of H at the unknowns last set (their cost must have been computed). */
  fill(): void {
    const { model, H } = this;
    const { size, readings } = model.compiled;
    const scale = Math.exp(-2 * model.logScale);
    H.fill(0);
    let ofScale = 1;
    for (let r = 0; r < readings.length; r++) {
      const m = readings[r].seen.length;
      const square = model.squares[r] * scale;
      const d = Math.min(m, independent);
      const { counts } = readings[r];
      const weight = (((counts * d) / m) * scale * (freedom + d)) / (freedom + (square * d) / m);
      ofScale += (counts * scaleSigma ** 2 * 2 * d * freedom) / (freedom + d);
      const count = this.columnsOf(r);
      for (let a = 0; a < count; a++) {
        const row = this.#unknowns[a];
        for (let b = 0; b < count; b++) {
          const column = this.#unknowns[b];
          if (column > row) continue;
          let sum = 0;
          for (let i = 0; i < m; i++) sum += this.#columns[a * m + i] * this.#columns[b * m + i];
          H[row * size + column] += weight * sum;
        }
      }
    }
    for (let i = 0; i < size - 1; i++) H[i * size + i] += 1;
    H[size * size - 1] = ofScale;
  }

  /** Columns of the whitened Jacobian of a reading, one under another. @returns how many */
  columnsOf(reading: number): number {
    const { model } = this;
    const { size } = model.compiled;
    const count = model.unknownsInto(reading, this.#unknowns);
    const m = model.compiled.readings[reading].seen.length;
    model.jacobianInto(reading, this.#jacobian, this.#residual);
    for (let a = 0; a < count; a++) {
      const column = this.#unknowns[a];
      for (let i = 0; i < m; i++) {
        this.#columns[a * m + i] = this.#jacobian[i * size + column];
        this.#jacobian[i * size + column] = 0;
      }
    }
    return count;
  }
}

/**
 * The most likely unknowns, by Gauss and Newton's steps with damping.
 *
 * @param start unknowns to begin at
 * @param damping of the first step: 1 when nothing is known of the unknowns, 0.001 after a small change
 * @param onStep told after every step
 */
export function findMode(
  model: ShelfModel,
  start: Float64Array,
  damping: number,
  most: number,
  onStep: (step: number) => void = () => {},
): Mode {
  const { size } = model.compiled;
  const curvature = new Curvature(model);
  const factor = new Float64Array(size * size);
  const gradient = new Float64Array(size);
  const trial = new Float64Array(size);
  const move = new Float64Array(size);
  const q = Float64Array.from(start);
  let cost = model.cost(q, gradient);
  let lambda = damping;
  let steps = 0;
  for (; steps < most; steps++) {
    curvature.fill();
    let gain = -1;
    for (let attempt = 0; attempt < 8 && gain < 0; attempt++) {
      factor.set(curvature.H);
      for (let i = 0; i < size; i++) factor[i * size + i] *= 1 + lambda;
      move.set(gradient);
      if (factorInPlace(factor, size)) {
        solveFactored(factor, move);
        for (let i = 0; i < size; i++) trial[i] = q[i] - move[i];
        gain = cost - model.cost(trial);
      }
      if (gain < 0) lambda = Math.max(4 * lambda, 1e-3);
    }
    if (gain < 0) break;
    q.set(trial);
    cost = model.cost(q, gradient);
    lambda = lambda < 1e-4 ? 0 : lambda / 5;
    onStep(steps);
    if (gain < enough && lambda < 0.05) break;
  }
  model.cost(q, gradient);
  curvature.fill();
  factor.set(curvature.H);
  if (!factorInPlace(factor, size)) throw new RangeError("the curvature of the shelf is not positive");
  return { q, factor, cost, steps };
}
