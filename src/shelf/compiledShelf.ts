import type { TristimulusWeights } from "../colour/weights.ts";
import { factorInPlace } from "../fit/denseAlgebra.ts";
import { sumOf } from "../fit/sumOf.ts";
import { type CurvePrior, curvePrior, type ShelfPrior } from "./priors.ts";
import { lightness, precisionOf, readingError } from "./readingError.ts";
import type { FilmPart, Shelf } from "./shelf.ts";

/** Where the unknowns of a component stand. */
interface ComponentPlace {
  readonly K: CurvePrior;
  readonly S: CurvePrior;
  /** first unknown of K; those of S follow */
  readonly at: number;
}

/** Where the unknowns of a film stand: one for each part. */
interface FilmPlace {
  readonly at: number;
  readonly components: Int32Array;
  /** amount of each part, in units of the shelf */
  readonly amounts: Float64Array;
  /** Cholesky factor of the covariance of the logarithms of the amounts, row by row */
  readonly spread: Float64Array;
  /** logarithm of the whole amount in units of the shelf where it was laid by amount, else 0 */
  readonly logLaid: number;
}

/** A reading in the form in which it is compared. */
interface ReadingPlace {
  readonly films: Int32Array;
  readonly ground: Float64Array;
  /** added to what comes out of the film: k1, or 0 where the mirror part is excluded */
  readonly added: number;
  /** what was seen: f(R) at each wavelength, or L*, a*, b* */
  readonly seen: Float64Array;
  /** 1 / 1σ of each of these */
  readonly precision: Float64Array;
  /** what the reading counts for: 1 as a whole */
  readonly counts: number;
  /** for a reading in Lab */
  readonly weights?: TristimulusWeights;
  /** the reading of the shelf */
  readonly reading: number;
}

/** A shelf under one prior, ready for the hot loops. All unknowns are standard normal beforehand. */
export interface CompiledShelf {
  readonly points: number;
  /** number of unknowns; the last two are the power of laid amounts and the logarithm of the scale of the errors, in their 1σ */
  readonly size: number;
  readonly components: readonly ComponentPlace[];
  readonly films: readonly FilmPlace[];
  readonly readings: readonly ReadingPlace[];
  readonly through: number;
  readonly k2: number;
  /** amount that counts as one */
  readonly unit: number;
}

const laidOf = (parts: readonly FilmPart[]) => parts.reduce((sum, { amount }) => sum + amount, 0);

/** The middle thickness of the films, in the unit of the amounts. */
export function unitOf({ films }: Pick<Shelf, "films">): number {
  const totals = films.map(({ parts }) => laidOf(parts));
  totals.sort((a, b) => a - b);
  return totals[totals.length >> 1] ?? 1;
}

/** Brings a shelf into the form of the hot loops; films that no used reading shows have no unknowns that matter. */
export function compileShelf(shelf: Shelf, prior: ShelfPrior, unit = unitOf(shelf)): CompiledShelf {
  const { wavelengths, surface } = shelf;
  const points = wavelengths.length;
  let at = 0;
  const wide = {
    K: curveOf(wavelengths, prior.absorptionLevel, prior.absorptionShape),
    S: curveOf(wavelengths, prior.scatteringLevel, prior.scatteringShape),
  };
  const components = shelf.components.map(({ known }): ComponentPlace => {
    const curves = known
      ? {
          K: knownCurve(wavelengths, known.absorption, unit, known.relativeSigma),
          S: knownCurve(wavelengths, known.scattering, unit, known.relativeSigma),
        }
      : wide;
    const place = { ...curves, at };
    at += curves.K.modes + curves.S.modes;
    return place;
  });
  const films = shelf.films.map(({ parts, thicknessSigma, doseSigma, laid }): FilmPlace => {
    const amounts = Float64Array.from(parts, ({ amount }) => amount / unit);
    const place = {
      at,
      components: Int32Array.from(parts, ({ component }) => component),
      amounts,
      spread: spreadOf(amounts, thicknessSigma, doseSigma),
      logLaid: laid ? Math.log(sumOf(amounts)) : 0,
    };
    at += parts.length;
    return place;
  });
  const k1 = surface.externalReflection;
  const counts = countsOf(shelf);
  const readings = shelf.readings.flatMap(({ films: stack, ground, specular, seen, setAside }, reading) => {
    if (!seen || setAside) return [];
    const common = {
      counts: counts[reading],
      films: Int32Array.from(stack),
      ground: shelf.grounds[ground],
      added: specular === "included" ? k1 : 0,
      reading,
    };
    if (seen.kind === "Lab") {
      const precision = new Float64Array(3).fill(1 / Math.hypot(seen.sigma, readingError.misfitLab));
      return [{ ...common, seen: Float64Array.from(seen.Lab), precision, weights: seen.weights }];
    }
    const precision = precisionOf(seen.reflectance);
    return [{ ...common, seen: seen.reflectance.map(lightness), precision }];
  });
  const through = (1 - k1) * (1 - surface.internalReflection);
  const size = at + 2;
  return { points, size, components, films, readings, through, k2: surface.internalReflection, unit };
}

function curveOf(
  wavelengths: Float64Array,
  [level, levelSigma]: readonly [number, number],
  [sigma, length]: readonly [number, number],
): CurvePrior {
  return curvePrior(wavelengths, new Float64Array(wavelengths.length).fill(level), levelSigma, sigma, length);
}

/** A known coefficient may be off as a whole, and half as much here and there. */
function knownCurve(
  wavelengths: Float64Array,
  values: Float64Array,
  unit: number,
  relative: number,
): CurvePrior {
  const mean = values.map((value) => Math.log(Math.max(value * unit, 1e-6)));
  return curvePrior(wavelengths, mean, relative, relative / 2, 60);
}

/** Cholesky factor of the covariance of ln amount of each part: thickness moves all, a dose one against the others. */
function spreadOf(amounts: Float64Array, thicknessSigma: number, doseSigma: number): Float64Array {
  const c = amounts.length;
  const total = sumOf(amounts);
  const share = amounts.map((amount) => amount / total);
  const squares = share.reduce((sum, one) => sum + one * one, 0);
  const tiny = 1e-8;
  const spread = new Float64Array(c * c);
  for (let i = 0; i < c; i++) {
    for (let j = 0; j <= i; j++) {
      const dose = c > 1 ? (i === j ? 1 : 0) - share[i] - share[j] + squares : 0;
      spread[i * c + j] = thicknessSigma ** 2 + doseSigma ** 2 * dose + (i === j ? tiny : 0);
    }
  }
  if (!factorInPlace(spread, c)) throw new RangeError("the doses of a film have no covariance");
  return spread;
}

/**
 * What each reading counts for. Films of one mixture err together, whatever their thickness: n of them settle no more
 * than n / (1 + ρ(n − 1)) of independent ones.
 */
function countsOf({ films, readings }: Shelf): number[] {
  const keyOf = (film: number): string => {
    const { parts } = films[film];
    const total = laidOf(parts);
    return parts.map(({ component, amount }) => `${component}:${(amount / total).toFixed(2)}`).join();
  };
  const keys = readings.map(({ films: stack, seen, setAside }) =>
    seen && !setAside ? keyOf(stack[stack.length - 1]) : "",
  );
  const many = new Map<string, number>();
  for (const key of keys) many.set(key, (many.get(key) ?? 0) + 1);
  return keys.map((key) => 1 / (1 + readingError.together * ((many.get(key) as number) - 1)));
}
