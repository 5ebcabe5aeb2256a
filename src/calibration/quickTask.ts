import type { TristimulusWeights } from "../colour/weights.ts";
import { smoothestCurve } from "../curves/smoothestCurve.ts";
import { addRow, noEquations, solveNormal } from "../fit/leastSquares.ts";
import { compile, usualDryThickness } from "./compiled.ts";
import type { CalibrationProblem, Thickness } from "./problem.ts";
import type { QuickProblem } from "./quickProblem.ts";
import {
  type Expectation,
  type ShapeBasis,
  shapeBasis,
  shapeLength,
  splineCoefficients,
  usualExpectations,
} from "./quickShape.ts";
import { startEstimate } from "./start.ts";

/** A quick calibration made ready for the loops. */
export interface QuickTask {
  readonly problem: QuickProblem;
  readonly weights: TristimulusWeights;
  readonly basis: ShapeBasis;
  readonly expectations: readonly Expectation[];
  /** place of ln X of film f among the unknowns, −1 for an opaque one */
  readonly placeOfFilm: readonly number[];
  /** number of unknowns */
  readonly size: number;
  /** internal reflectance of each ground */
  readonly grounds: readonly Float64Array[];
}

/** 1σ of ln X of an unmeasured film. */
const looseSigma = 1;

/** Makes the task ready. @throws TypeError when curves are not on the grid of the weights */
export function createQuickTask(
  problem: QuickProblem,
  weights: TristimulusWeights,
  wavelengths: ArrayLike<number>,
): QuickTask {
  const n = weights.x.length;
  const check = (name: string, values: ArrayLike<number>): void => {
    if (values.length !== n)
      throw new TypeError(`${name} has ${values.length} values, but the light's weights have ${n}`);
  };
  check("wavelengths", wavelengths);
  for (const { name, absorption, scattering } of problem.companions) {
    check(`absorption of ${name}`, absorption);
    check(`scattering of ${name}`, scattering);
  }
  for (const { name, reflectance } of problem.grounds) check(`ground ${name}`, reflectance);
  let size = shapeLength;
  const placeOfFilm = problem.drawdowns.map(({ thickness }) => (thickness.kind === "opaque" ? -1 : size++));
  const stated = problem.drawdowns.flatMap(({ thickness }) =>
    thickness.kind === "known" ? [thickness.value] : [],
  );
  const typical = stated.length > 0 ? stated.reduce((a, b) => a + b, 0) / stated.length : usualDryThickness;
  const { externalReflection: k1, internalReflection: k2 } = problem.surface;
  const grounds = problem.grounds.map(({ reflectance, mode }) =>
    reflectance.map((value) => {
      if (mode === "internal") return value;
      const left = mode === "included" ? value - k1 : value;
      return Math.max(0, Math.min(1, left / Math.max((1 - k1) * (1 - k2) + k2 * left, 1e-6)));
    }),
  );
  const basis = shapeBasis(wavelengths);
  return { problem, weights, basis, expectations: usualExpectations(typical), placeOfFilm, size, grounds };
}

/** Mean and σ of ln X before any reading. */
export function thicknessPrior(thickness: Thickness): { mean: number; sigma: number } {
  if (thickness.kind === "known")
    return { mean: Math.log(thickness.value), sigma: Math.max(thickness.relativeSigma, 1e-3) };
  const guess = thickness.kind === "unknown" ? (thickness.guess ?? usualDryThickness) : usualDryThickness;
  return { mean: Math.log(guess), sigma: looseSigma };
}

/**
 * Where the search begins: every colour is given its smoothest reflectance curve, these are taken for measured spectra,
 * and the start of the full calibration is fitted by the shape.
 */
export function startingPoint({ problem, weights, basis, placeOfFilm, size }: QuickTask): Float64Array {
  const spectral: CalibrationProblem = {
    ...problem,
    thicknessUnit: "µm",
    drawdowns: problem.drawdowns.map((drawdown) => ({
      ...drawdown,
      readings: drawdown.readings.map(({ ground, specular, Lab }) => ({
        ground,
        specular,
        reflectance: smoothestCurve([Math.max(0, Math.min(100, Lab[0])), Lab[1], Lab[2]], weights)
          .reflectance,
        sigma: new Float64Array(basis.n).fill(0.02),
      })),
    })),
  };
  const compiled = compile(spectral);
  const estimate = startEstimate(compiled);
  const parameters = new Float64Array(size);
  const [logK, logS] = [0, 1].map((u) =>
    Array.from({ length: basis.n }, (_, i) => Math.log(Math.max(estimate.local[i * compiled.m + u], 1e-5))),
  );
  parameters.set(splineThrough(basis, logK));
  parameters[splineCoefficients] = logS.reduce((a, b) => a + b, 0) / basis.n;
  parameters[splineCoefficients + 1] = 1;
  placeOfFilm.forEach((place, f) => {
    if (place >= 0) parameters[place] = estimate.shared[compiled.sharedOfFilm[f]];
  });
  return parameters;
}

/** Spline coefficients nearest to values, with a light hold on their bends. */
function splineThrough({ n, spline }: ShapeBasis, values: readonly number[]): Float64Array {
  const q = splineCoefficients;
  const equations = noEquations(q);
  const at = (entries: readonly (readonly [c: number, factor: number])[]) => {
    const row = new Float64Array(q);
    for (const [c, factor] of entries) row[c] = factor;
    return row;
  };
  for (let i = 0; i < n; i++) addRow(equations, spline.subarray(i * q, (i + 1) * q), values[i]);
  const hold = Math.sqrt(0.05);
  for (let c = 1; c < q - 1; c++) {
    const bend = at([
      [c - 1, hold],
      [c, -2 * hold],
      [c + 1, hold],
    ]);
    addRow(equations, bend, 0);
  }
  for (let c = 0; c < q; c++) addRow(equations, at([[c, 1e-3]]), 0);
  return solveNormal(equations, new Float64Array(q), 0);
}
