import { sameLength } from "../colour/checks.ts";
import { type CalibrationProblem, wavelengthCount } from "./problem.ts";

// The problem flattened for the inner loops, and which number stands where among the unknowns. Local unknowns belong
// to one wavelength: K and S of the paste, then K and S of every companion that is not exact, then the reading of
// every bare ground that is not exact. Shared unknowns belong to all: ln X of every film whose thickness matters,
// then, on request, k2.

/** Standard deviation of ln X given to a thickness nobody measured: next to no information (a factor of 20). */
const looseLogThickness = 3;

/** Where the search for an unmeasured thickness starts, µm dry. Common practice for a drawdown. */
export const usualDryThickness = 30;

export interface Compiled {
  readonly problem: CalibrationProblem;
  /** wavelengths, films, components (paste first), grounds, readings */
  readonly n: number;
  readonly films: number;
  readonly components: number;
  readonly grounds: number;
  readonly readings: number;
  /** local unknowns for each wavelength, shared unknowns */
  readonly m: number;
  readonly p: number;
  /** fractions[f·components + j] */
  readonly fractions: Float64Array;
  /** readings of film f: firstReading[f] … firstReading[f+1]−1 */
  readonly firstReading: Int32Array;
  readonly groundOf: Int32Array;
  /** values[i·readings + r], as if the specular part were included */
  readonly values: Float64Array;
  /** 1/σ, 0 where there is no value */
  readonly inverseSigma: Float64Array;
  /** known[i·2·components + 2j (+1)]: K and S of components that are not estimated */
  readonly known: Float64Array;
  /** local index of K of component j (S follows), −1 if it is not estimated; the paste has 0 */
  readonly localOfComponent: Int32Array;
  /** local index of the reading of ground g, −1 if it is exact */
  readonly localOfGround: Int32Array;
  /** groundValues[i·grounds + g], specular part included, or internal where `groundInternal` */
  readonly groundValues: Float64Array;
  readonly groundInternal: Uint8Array;
  /** prior of the local unknowns: mean and 1/σ² (0 = none), [i·m + u] */
  readonly localMean: Float64Array;
  readonly localPrecision: Float64Array;
  /** shared index of ln X of film f, −1 for an opaque one */
  readonly sharedOfFilm: Int32Array;
  readonly sharedMean: Float64Array;
  readonly sharedPrecision: Float64Array;
  /** whether the precision is the loose one of an unmeasured thickness */
  readonly loose: Uint8Array;
  /** shared index of k2, −1 when it is not estimated */
  readonly sharedOfK2: number;
  readonly k1: number;
  readonly k2: number;
  /** mean of the thicknesses at the start, µm: K and S are of the order of its reciprocal */
  readonly typicalThickness: number;
  /** 0 = film is left out */
  readonly used: Uint8Array;
}

/** The unknowns of a calibration, in the order `Compiled` tells. */
export interface Estimate {
  readonly local: Float64Array;
  readonly shared: Float64Array;
}

/**
 * Flattens a problem.
 *
 * @param k2Sigma 1σ of k2 about the stated value when it is to be estimated; left out = k2 is taken as stated
 * @throws TypeError when curves or fractions differ in length
 */
export function compile(problem: CalibrationProblem, k2Sigma?: number): Compiled {
  const n = wavelengthCount(problem);
  const components = 1 + problem.companions.length;
  const films = problem.drawdowns.length;
  const grounds = problem.grounds.length;
  const k1 = problem.surface.externalReflection;
  const flat = flattenReadings(problem, n, k1);

  const localOfComponent = new Int32Array(components).fill(-1);
  localOfComponent[0] = 0;
  let m = 2;
  problem.companions.forEach((companion, c) => {
    const inexact = [companion.absorptionSigma, companion.scatteringSigma].some((s) => s?.some((v) => v > 0));
    if (inexact) {
      localOfComponent[c + 1] = m;
      m += 2;
    }
  });
  const localOfGround = new Int32Array(grounds).fill(-1);
  problem.grounds.forEach((ground, g) => {
    if (ground.sigma.some((sigma) => sigma > 0)) localOfGround[g] = m++;
  });

  const localMean = new Float64Array(n * m);
  const localPrecision = new Float64Array(n * m);
  const known = new Float64Array(n * 2 * components);
  problem.companions.forEach(({ absorption, scattering, absorptionSigma, scatteringSigma }, c) => {
    const u = localOfComponent[c + 1];
    for (let i = 0; i < n; i++) {
      known[i * 2 * components + 2 * (c + 1)] = absorption[i];
      known[i * 2 * components + 2 * (c + 1) + 1] = scattering[i];
      if (u < 0) continue;
      localMean[i * m + u] = absorption[i];
      localMean[i * m + u + 1] = scattering[i];
      localPrecision[i * m + u] = precisionOf(absorptionSigma?.[i] ?? 0, absorption[i]);
      localPrecision[i * m + u + 1] = precisionOf(scatteringSigma?.[i] ?? 0, scattering[i]);
    }
  });
  const groundValues = new Float64Array(n * grounds);
  const groundInternal = new Uint8Array(grounds);
  problem.grounds.forEach((ground, g) => {
    groundInternal[g] = ground.mode === "internal" ? 1 : 0;
    const offset = ground.mode === "excluded" ? k1 : 0;
    const u = localOfGround[g];
    for (let i = 0; i < n; i++) {
      const value = ground.reflectance[i] + offset;
      groundValues[i * grounds + g] = value;
      if (u < 0) continue;
      localMean[i * m + u] = value;
      localPrecision[i * m + u] = precisionOf(ground.sigma[i], value);
    }
  });

  return {
    ...{ problem, n, films, components, grounds, m, k1, k2: problem.surface.internalReflection, ...flat },
    ...{ known, localOfComponent, localOfGround, groundValues, groundInternal, localMean, localPrecision },
    ...filmUnknowns(problem, components, k2Sigma),
    used: new Uint8Array(films).fill(1),
  };
}

/** Compositions, and the unknowns that all wavelengths share. */
function filmUnknowns(problem: CalibrationProblem, components: number, k2Sigma: number | undefined) {
  const films = problem.drawdowns.length;
  const fractions = new Float64Array(films * components);
  const sharedOfFilm = new Int32Array(films).fill(-1);
  const mean: number[] = [];
  const precision: number[] = [];
  const loose: number[] = [];
  problem.drawdowns.forEach((drawdown, f) => {
    sameLength(`fractions of ${drawdown.label}`, drawdown.fractions, "components", { length: components });
    fractions.set(drawdown.fractions, f * components);
    const { thickness } = drawdown;
    if (thickness.kind === "opaque") return;
    sharedOfFilm[f] = mean.length;
    const known = thickness.kind === "known";
    mean.push(Math.log(known ? thickness.value : (thickness.guess ?? usualDryThickness)));
    precision.push(1 / (known ? Math.max(thickness.relativeSigma, 1e-6) : looseLogThickness) ** 2);
    loose.push(known ? 0 : 1);
  });
  const typicalThickness = typicalOf(mean);
  const sharedOfK2 = k2Sigma === undefined ? -1 : mean.length;
  if (k2Sigma !== undefined) {
    mean.push(problem.surface.internalReflection);
    precision.push(1 / k2Sigma ** 2);
    loose.push(0);
  }
  return {
    ...{ fractions, sharedOfFilm, sharedOfK2, typicalThickness, p: mean.length },
    sharedMean: Float64Array.from(mean),
    sharedPrecision: Float64Array.from(precision),
    loose: Uint8Array.from(loose),
  };
}

function typicalOf(logThicknesses: readonly number[]): number {
  if (logThicknesses.length === 0) return usualDryThickness;
  return Math.exp(logThicknesses.reduce((sum, value) => sum + value, 0) / logThicknesses.length);
}

/** The same problem with some films left out. */
export function withoutFilms(compiled: Compiled, leftOut: Iterable<number>): Compiled {
  const used = compiled.used.slice();
  for (const f of leftOut) used[f] = 0;
  return { ...compiled, used };
}

/** Greatest K·30 µm and S·30 µm of a companion that counts as clear. */
const clearLimit = 0.15;

/** The same problem with nearly clear companions taken as perfectly clear. */
export function withoutClearCompanions(compiled: Compiled): Compiled {
  const { n, components, problem } = compiled;
  const known = compiled.known.slice();
  problem.companions.forEach(({ absorption, scattering }, c) => {
    const most = Math.max(...absorption, ...scattering) * usualDryThickness;
    if (most > clearLimit) return;
    for (let i = 0; i < n; i++) known.fill(0, (i * components + c + 1) * 2, (i * components + c + 2) * 2);
  });
  return { ...compiled, known };
}

/** A σ of 0 beside others above 0 means exact, as far as double precision can say so. */
function precisionOf(sigma: number, value: number): number {
  return 1 / Math.max(sigma, 1e-6 * Math.abs(value), 1e-9) ** 2;
}

function flattenReadings(problem: CalibrationProblem, n: number, k1: number) {
  const all = problem.drawdowns.flatMap((drawdown) => drawdown.readings);
  const readings = all.length;
  const firstReading = new Int32Array(problem.drawdowns.length + 1);
  problem.drawdowns.forEach((drawdown, f) => {
    firstReading[f + 1] = firstReading[f] + drawdown.readings.length;
  });
  const groundOf = Int32Array.from(all, (reading) => reading.ground);
  const values = new Float64Array(n * readings);
  const inverseSigma = new Float64Array(n * readings);
  all.forEach((reading, r) => {
    const offset = reading.specular === "excluded" ? k1 : 0;
    for (let i = 0; i < n; i++) {
      values[i * readings + r] = reading.reflectance[i] + offset;
      inverseSigma[i * readings + r] = 1 / Math.max(reading.sigma[i], 1e-9);
    }
  });
  return { readings, firstReading, groundOf, values, inverseSigma };
}
