import { type Compiled, type Estimate, withoutFilms } from "./compiled.ts";
import { type Fit, type FitLimits, fitEstimate } from "./fit.ts";
import type { Objective } from "./normalEquations.ts";
import { type Assumption, predictFilmInto, thicknessOf } from "./predict.ts";

/** One drawdown as the others predict it. */
interface Prediction {
  readonly film: number;
  /** the fit to all others; it says nothing of this film's thickness */
  readonly others: Fit;
  /** thickness that suits its readings best within its stated error, µm; Infinity = opaque */
  readonly thickness: number;
  /** thickness that suits its readings best if nothing were stated, µm, and 1σ of its logarithm */
  readonly freeThickness: number;
  readonly freeLogSigma: number;
  /** half the sum of squares of its readings (Huber's loss), at `thickness` and at `freeThickness` */
  readonly cost: number;
  readonly freeCost: number;
}

/** Step of the coarse look at ln X. */
const coarse = 0.5;

const short = { steps: 25, tolerance: 1e-7 };

/**
 * Fits all films but one, then asks how well that fit predicts the one left out.
 *
 * @param leftOut films that are out anyway
 */
export function predictWithout(
  compiled: Compiled,
  start: Estimate,
  objective: Objective,
  film: number,
  leftOut: readonly number[] = [],
  limits: FitLimits = short,
): Prediction {
  const others = fitEstimate(withoutFilms(compiled, [...leftOut, film]), start, objective, limits);
  return { film, others, ...bestThickness(compiled, others.estimate, objective, film) };
}

/** Best thickness of one film with K and S held, with and without what its label says. */
export function bestThickness(
  compiled: Compiled,
  estimate: Estimate,
  objective: Objective,
  film: number,
  assumption: Omit<Assumption, "thickness"> & { readonly offset?: number } = {},
): Omit<Prediction, "film" | "others"> {
  const s = compiled.sharedOfFilm[film];
  const cost = (logX: number): number =>
    filmCost(compiled, estimate, objective, film, assumption, Math.exp(logX));
  if (s < 0) {
    const opaque = filmCost(compiled, estimate, objective, film, assumption, Number.POSITIVE_INFINITY);
    const none = { thickness: Number.POSITIVE_INFINITY, freeThickness: Number.POSITIVE_INFINITY };
    return { ...none, freeLogSigma: 0, cost: opaque, freeCost: opaque };
  }
  const mean = compiled.sharedMean[s];
  const precision = compiled.sharedPrecision[s];
  const free = leastOf(cost, mean, Math.log(thicknessOf(compiled, estimate, film)));
  // A loose prior moves nothing that the readings show.
  const bound =
    compiled.loose[s] === 1
      ? free
      : leastOf((logX) => cost(logX) + 0.5 * precision * (logX - mean) ** 2, mean, free);
  // Curvature of the cost about its least value; a flat one means that the thickness cannot be found.
  const step = 0.02;
  const bend = (cost(free + step) - 2 * cost(free) + cost(free - step)) / step ** 2;
  return {
    thickness: Math.exp(bound),
    freeThickness: Math.exp(free),
    freeLogSigma: bend > 1e-2 ? 1 / Math.sqrt(bend) : 10,
    cost: cost(bound),
    freeCost: cost(free),
  };
}

/** Half the sum of squares of one film's readings (Huber's loss) under an assumption; `offset` is added to the prediction. */
export function filmCost(
  compiled: Compiled,
  estimate: Estimate,
  { huber, noiseScale }: Objective,
  film: number,
  assumption: Omit<Assumption, "thickness"> & { readonly offset?: number },
  thickness: number,
): number {
  const { n, readings, firstReading, values, inverseSigma } = compiled;
  const first = firstReading[film];
  const count = firstReading[film + 1] - first;
  const predicted = new Float64Array(n * count);
  predictFilmInto(compiled, estimate, film, { ...assumption, thickness }, predicted);
  const offset = assumption.offset ?? 0;
  let sum = 0;
  for (let i = 0; i < n; i++) {
    for (let q = 0; q < count; q++) {
      const at = i * readings + first + q;
      const size = Math.abs(
        ((predicted[i * count + q] + offset - values[at]) * inverseSigma[at]) / noiseScale,
      );
      sum += size <= huber ? 0.5 * size * size : huber * (size - 0.5 * huber);
    }
  }
  return sum;
}

/**
 * Place of the least value of a smooth function of ln X: a coarse look about two guesses, then parabolas through the
 * three best points, with golden sections where a parabola leads nowhere (Brent 1973, simplified).
 */
function leastOf(cost: (logX: number) => number, first: number, second: number): number {
  let middle = first;
  let least = Number.POSITIVE_INFINITY;
  const look = (x: number): void => {
    const value = cost(x);
    if (value < least) {
      least = value;
      middle = x;
    }
  };
  look(second);
  for (let k = -6; k <= 6; k++) look(first + k * coarse);
  let [low, high] = [middle - coarse, middle + coarse];
  let [atLow, atHigh] = [cost(low), cost(high)];
  for (let pass = 0; pass < 20 && high - low > 1e-5; pass++) {
    const [p, q] = [(middle - low) * (least - atHigh), (middle - high) * (least - atLow)];
    let x = middle - ((middle - low) * p - (middle - high) * q) / (2 * (p - q));
    const stuck = !(x > low && x < high) || Math.abs(x - middle) < 1e-6;
    if (stuck)
      x = high - middle > middle - low ? middle + 0.38 * (high - middle) : middle - 0.38 * (middle - low);
    const value = cost(x);
    if (value < least) {
      if (x > middle) [low, atLow] = [middle, least];
      else [high, atHigh] = [middle, least];
      const nearer = Math.abs(x - middle) < 1e-5;
      [middle, least] = [x, value];
      if (nearer) break;
    } else if (x > middle) [high, atHigh] = [x, value];
    else [low, atLow] = [x, value];
  }
  return middle;
}
