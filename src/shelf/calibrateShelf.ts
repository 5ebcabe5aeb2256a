import { normal, seededRandom } from "../fit/seededRandom.ts";
import type { Progress } from "../tasks/longTask.ts";
import { type CompiledShelf, compileShelf, unitOf } from "./compiledShelf.ts";
import { hamiltonianDraws } from "./hamiltonian.ts";
import { findMode } from "./mode.ts";
import { usualPriors } from "./priors.ts";
import { readingError } from "./readingError.ts";
import type { Shelf } from "./shelf.ts";
import { ShelfModel } from "./shelfModel.ts";

/** How thorough a calibration is. */
export interface ShelfOptions {
  readonly seed: number;
  /** draws kept for each prior */
  readonly keep: number;
  /** the state of an earlier calibration of the same components whose films stand at the beginning of these */
  readonly from?: ShelfState;
}

export const usualShelfOptions: ShelfOptions = { seed: 1, keep: 64 };

/** Where a calibration ended, so that the next one, with a film more, begins there. */
export interface ShelfState {
  readonly unit: number;
  /** numbers of bottles and habits */
  readonly bottles: number;
  readonly habits: number;
  /** most likely unknowns under each prior */
  readonly modes: readonly Float64Array[];
}

/** One draw of everything: rows are draws. */
export interface ShelfDraws {
  readonly count: number;
  /** K and S per unit of amount: draw, component, point */
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
  /** reflectance of each reading as an instrument would see it, without its own error: draw, reading, point */
  readonly reflectance: Float64Array;
  /** scale of the errors in each draw */
  readonly scale: Float64Array;
  /** ln strength of each bottle about its paste: draw, bottle */
  readonly bottles: Float64Array;
}

/** A shelf, calibrated. */
export interface CalibratedShelf {
  readonly draws: ShelfDraws;
  /** posterior means per unit of amount, component by component */
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
  /** share of the Hamiltonian paths that were taken, prior by prior: far below 0.5 the draws are not to be trusted */
  readonly taken: readonly number[];
  readonly state: ShelfState;
}

const paths = { warm: 40, thin: 3 } as const;
/** Begun where the last calibration ended, paths find their step sooner; fewer of them keep the wait short. */
const again = { warm: 10, thin: 1 } as const;

/**
 * Calibrates a shelf as a whole: K and S of every component, thickness and doses of every film, as draws from the
 * posterior under each of a few priors, all counted alike.
 *
 * Source: additive K and S (Duncan 1940), films (Kubelka 1948), Gaussian processes (Rasmussen, Williams 2006), Hamiltonian
 * Monte Carlo (Neal 2011).
 */
export function calibrateShelf(
  shelf: Shelf,
  options: ShelfOptions = usualShelfOptions,
  onProgress: Progress = () => {},
): CalibratedShelf {
  const { from, seed } = options;
  const points = shelf.wavelengths.length;
  const room = Math.floor(mostDrawn / (usualPriors.length * shelf.readings.length * points));
  const keep = Math.min(options.keep, Math.max(leastKept, room));
  const learnt = learntOf(shelf);
  const unit = from?.unit ?? unitOf(learnt.shelf);
  const count = keep * usualPriors.length;
  const curves = shelf.components.length * points;
  const draws = {
    count,
    absorption: new Float64Array(count * curves),
    scattering: new Float64Array(count * curves),
    reflectance: new Float64Array(count * shelf.readings.length * points),
    scale: new Float64Array(count),
    bottles: new Float64Array(count * (shelf.bottles ?? 0)),
  };
  const modes: Float64Array[] = [];
  const taken: number[] = [];
  usualPriors.forEach((prior, k) => {
    const share = (part: number) =>
      onProgress((k + part) / usualPriors.length, `prior ${k + 1} of ${usualPriors.length}`);
    const compiled = compileShelf(learnt.shelf, prior, unit);
    const whole = new ShelfModel(compileShelf(shelf, prior, unit));
    const all = new Float64Array(whole.compiled.size);
    const random = seededRandom(seed * 100 + k + 50);
    const model = new ShelfModel(compiled);
    const start = new Float64Array(compiled.size);
    if (from) continueFrom(from, k, compiled, start);
    const mode = findMode(model, start, from ? 1e-3 : 1, 60, (step) => share(0.5 * (1 - 0.9 ** (step + 1))));
    modes.push(mode.q);
    const length = from ? again : paths;
    const chain = hamiltonianDraws(model, mode, { ...length, keep, seed: seed * 100 + k }, (path) =>
      share(0.5 + (0.5 * path) / (length.warm + keep * length.thin)),
    );
    taken.push(chain.taken);
    for (let d = 0; d < chain.count; d++) {
      const q = chain.draws.subarray(d * compiled.size, (d + 1) * compiled.size);
      spreadOut(q, learnt.films, compiled, whole.compiled, random, all);
      record(whole, all, k * keep + d, shelf, draws);
    }
  });
  onProgress(1);
  return {
    draws,
    absorption: meanOf(draws.absorption, count),
    scattering: meanOf(draws.scattering, count),
    taken,
    state: { unit, bottles: shelf.bottles ?? 0, habits: shelf.habits ?? 0, modes },
  };
}

/** Numbers of all drawn readings together, 200 MB: a ledger of thousands of films is drawn less often. */
const mostDrawn = 25e6;
const leastKept = 16;

/** The part of a shelf from which something is learnt: readings that are used, and the films that they show. */
function learntOf(shelf: Shelf): { shelf: Shelf; films: readonly number[] } {
  const used = shelf.readings.filter(({ seen, setAside }) => seen && !setAside);
  const films = [...new Set(used.flatMap((reading) => reading.films))].sort((a, b) => a - b);
  const place = new Map(films.map((film, k) => [film, k]));
  const readings = used.map((reading) => ({
    ...reading,
    films: reading.films.map((film) => place.get(film) as number),
  }));
  return { shelf: { ...shelf, films: films.map((film) => shelf.films[film]), readings }, films };
}

/** A draw of what was learnt as a draw of the whole shelf: films that nothing shows are poured anew. */
function spreadOut(
  q: Float64Array,
  films: readonly number[],
  learnt: CompiledShelf,
  whole: CompiledShelf,
  random: () => number,
  out: Float64Array,
): void {
  for (let i = 0; i < out.length; i++) out[i] = normal(random);
  out.set(q.subarray(0, learnt.filmsAt));
  films.forEach((film, k) => {
    const { at, amounts } = learnt.films[k];
    out.set(q.subarray(at, at + amounts.length), whole.films[film].at);
  });
  out[out.length - 2] = q[q.length - 2];
  out[out.length - 1] = q[q.length - 1];
}

/** Unknowns of what was there before stay; those of new films, bottles and habits begin at what was told. */
function continueFrom(
  { modes, bottles, habits }: ShelfState,
  prior: number,
  { size, bottlesAt, habitsAt, filmsAt }: CompiledShelf,
  start: Float64Array,
): void {
  const before = modes[prior];
  const filmsBefore = bottlesAt + bottles + 2 * habits;
  if (!before || before.length - filmsBefore > size - filmsAt) return;
  if (bottles > habitsAt - bottlesAt || 2 * habits > filmsAt - habitsAt) return;
  start.set(before.subarray(0, bottlesAt + bottles));
  start.set(before.subarray(bottlesAt + bottles, filmsBefore), habitsAt);
  start.set(before.subarray(filmsBefore, before.length - 2), filmsAt);
  start[size - 2] = before[before.length - 2];
  start[size - 1] = before[before.length - 1];
}

function record(model: ShelfModel, q: Float64Array, draw: number, shelf: Shelf, draws: ShelfDraws): void {
  const { points, unit } = model.compiled;
  model.set(q);
  const curves = shelf.components.length * points;
  for (let i = 0; i < curves; i++) {
    draws.absorption[draw * curves + i] = model.K[i] / unit;
    draws.scattering[draw * curves + i] = model.S[i] / unit;
  }
  draws.scale[draw] = Math.exp(model.logScale);
  const bottles = shelf.bottles ?? 0;
  for (let b = 0; b < bottles; b++) {
    draws.bottles[draw * bottles + b] = readingError.bottleSigma * q[model.compiled.bottlesAt + b];
  }
  const k1 = shelf.surface.externalReflection;
  shelf.readings.forEach(({ films, ground, specular, habit }, r) => {
    const at = (draw * shelf.readings.length + r) * points;
    const out = draws.reflectance.subarray(at, at + points);
    model.reflectanceInto(
      Int32Array.from(films),
      shelf.grounds[ground],
      specular === "included" ? k1 : 0,
      out,
      habit,
    );
  });
}

/** Mean over draws of what stands draw by draw. */
function meanOf(values: Float64Array, count: number): Float64Array {
  const length = values.length / count;
  const mean = new Float64Array(length);
  for (let d = 0; d < count; d++) for (let i = 0; i < length; i++) mean[i] += values[d * length + i] / count;
  return mean;
}
