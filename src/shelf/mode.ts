import {
  type ArrowPattern,
  addTo,
  arrowPattern,
  type BlockArrow,
  clearBlockArrow,
  copyBlockArrow,
  createBlockArrow,
  factorBlockArrow,
  solveLowerArrow,
  solveUpperArrow,
} from "../fit/blockArrow.ts";
import { withinSteps } from "../fit/steps.ts";
import { readingError } from "./readingError.ts";
import type { ShelfModel } from "./shelfModel.ts";

/** The most likely unknowns and the curvature there. */
export interface Mode {
  readonly q: Float64Array;
  /** Cholesky factor of the curvature (Gauss and Newton's) */
  readonly factor: BlockArrow;
  readonly cost: number;
  readonly steps: number;
}

const { freedom, independent, scaleSigma } = readingError;
/** A step that gains less than this in the logarithm of the posterior changes nothing that draws would show. */
const enough = 0.02;

/** Room for the whitened Jacobians, made once. */
class Curvature {
  readonly H: BlockArrow;
  readonly #jacobian: Float64Array;
  readonly #columns: Float64Array;
  readonly #unknowns: Int32Array;
  readonly #residual: Float64Array;

  constructor(readonly model: ShelfModel) {
    const { size, points } = model.compiled;
    this.H = createBlockArrow(patternOf(model));
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
    const columns = this.#columns;
    const unknowns = this.#unknowns;
    clearBlockArrow(H);
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
        const row = unknowns[a];
        for (let b = 0; b < count; b++) {
          const column = unknowns[b];
          if (column > row) continue;
          let sum = 0;
          for (let i = 0; i < m; i++) sum += columns[a * m + i] * columns[b * m + i];
          addTo(H, row, column, weight * sum);
        }
      }
    }
    for (let i = 0; i < size - 1; i++) addTo(H, i, i, 1);
    addTo(H, size - 1, size - 1, ofScale);
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
 * What meets what: thickness and doses of a film meet the curves, bottles and habits of its readings, and those of films that
 * lie in one stack with it. Everything else meets everything.
 */
function patternOf(model: ShelfModel): ArrowPattern {
  const { films, readings, size, filmsAt } = model.compiled;
  const group = films.map((_, f) => f);
  const headOf = (film: number): number => {
    let head = film;
    for (let steps = 0; group[head] !== head; steps++) {
      withinSteps(steps, films.length, "finding the films of a stack");
      head = group[head];
    }
    group[film] = head;
    return head;
  };
  for (const { films: stack } of readings) {
    for (const film of stack) group[headOf(film)] = headOf(stack[0]);
  }
  const heads = [...new Set(films.map((_, f) => headOf(f)))];
  const place = new Map(heads.map((head, k) => [head, k]));
  const groups = heads.map((): number[] => []);
  const meets = heads.map(() => new Set<number>());
  films.forEach(({ at, amounts }, f) => {
    for (let k = 0; k < amounts.length; k++) groups[place.get(headOf(f)) as number].push(at + k);
  });
  const unknowns = new Int32Array(2 * size);
  readings.forEach(({ films: stack }, r) => {
    const of = meets[place.get(headOf(stack[0])) as number];
    const count = model.unknownsInto(r, unknowns);
    for (let k = 0; k < count; k++) {
      if (unknowns[k] < filmsAt || unknowns[k] >= size - 2) of.add(unknowns[k]);
    }
  });
  const shared = size - groups.reduce((sum, group) => sum + group.length, 0);
  const largest = groups.reduce((most, group) => Math.max(most, group.length), 0);
  if (Math.max(shared, largest) > mostTogether) {
    throw new RangeError(
      shared > largest
        ? `pastes, bottles and habits hold ${shared} unknowns; at most ${mostTogether} can be found at once: learn from fewer pastes or bottles`
        : `films that lie in stacks together hold ${largest} unknowns; at most ${mostTogether} can be found at once: set aside films that say the same twice`,
    );
  }
  return arrowPattern(size, groups, meets);
}

/** More unknowns that all meet each other are too many for memory and for some minutes. */
const mostTogether = 3000;

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
  const factor = createBlockArrow(curvature.H.pattern);
  const room = new Float64Array(factor.pattern.rest.length);
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
      copyBlockArrow(curvature.H, factor, 1 + lambda);
      move.set(gradient);
      if (factorBlockArrow(factor)) {
        solveLowerArrow(factor, move, room);
        solveUpperArrow(factor, move, room);
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
  copyBlockArrow(curvature.H, factor);
  if (!factorBlockArrow(factor)) throw new RangeError("the curvature of the shelf is not positive");
  return { q, factor, cost, steps };
}
