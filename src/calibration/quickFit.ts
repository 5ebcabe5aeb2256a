import { deltaE2000 } from "../colour/difference.ts";
import { XYZToLab } from "../colour/Lab.ts";
import { factorInPlace, inverseOfFactored, solveFactored } from "../fit/denseAlgebra.ts";
import { createFilmParts, createFilmSlopes, filmPartsInto, filmSlopesInto } from "./filmSlopes.ts";
import type { LabReading, QuickReport } from "./quickProblem.ts";
import { shapeInto, shapeLength, splineCoefficients } from "./quickShape.ts";
import { type QuickTask, thicknessPrior } from "./quickTask.ts";

// Least squares on Lab for a handful of unknowns: the shape, then ln X of every film whose thickness matters.

interface LabSlopes {
  Lab: Float64Array;
  /** slopes[k·size + unknown] of L*, a*, b* */
  slopes: Float64Array;
}

const parts = createFilmParts();
const film = createFilmSlopes();

/** Lab of one reading with its derivatives by every unknown. */
function labOf(
  task: QuickTask,
  parameters: Float64Array,
  K: Float64Array,
  S: Float64Array,
  f: number,
  { ground, specular }: LabReading,
): LabSlopes {
  const { problem, weights, basis, placeOfFilm, size } = task;
  const { externalReflection: k1, internalReflection: k2 } = problem.surface;
  const { fractions } = problem.drawdowns[f];
  const place = placeOfFilm[f];
  const XYZ = new Float64Array(3);
  const slopes = new Float64Array(3 * size);
  const sums = [weights.x, weights.y, weights.z];
  const own = fractions[0];
  for (let i = 0; i < basis.n; i++) {
    let filmK = own * K[i];
    let filmS = own * S[i];
    problem.companions.forEach(({ absorption, scattering }, c) => {
      filmK += fractions[c + 1] * absorption[i];
      filmS += fractions[c + 1] * scattering[i];
    });
    const X = place < 0 ? 1e4 / (filmK + filmS + 1e-9) : Math.exp(parameters[place]);
    filmPartsInto(filmK, filmS, X, parts);
    filmSlopesInto(parts, X, task.grounds[ground][i], film);
    const below = 1 / (1 - k2 * film.R);
    const through = (1 - k1) * (1 - k2);
    const reading = (specular === "included" ? k1 : 0) + through * film.R * below;
    const outward = through * below * below;
    const byLogK = film.dK * outward * own * K[i];
    const byLogS = film.dS * outward * own * S[i];
    for (let k = 0; k < 3; k++) {
      const weight = sums[k][i];
      XYZ[k] += weight * reading;
      for (let c = 0; c < splineCoefficients; c++) {
        slopes[k * size + c] += weight * byLogK * basis.spline[i * splineCoefficients + c];
      }
      slopes[k * size + splineCoefficients] += weight * byLogS;
      slopes[k * size + splineCoefficients + 1] += weight * byLogS * basis.logWavelength[i];
      if (place >= 0) slopes[k * size + place] += weight * film.dLogX * outward;
    }
  }
  return toLab(XYZ, slopes, weights.white, size);
}

/** Turns XYZ and its slopes into Lab and its slopes (ISO/CIE 11664-4 and its derivative). */
function toLab(XYZ: Float64Array, slopes: Float64Array, white: Float64Array, size: number): LabSlopes {
  const Lab = XYZToLab(XYZ, white, new Float64Array(3));
  const d = Array.from({ length: 3 }, (_, k) => {
    const t = XYZ[k] / white[k];
    return (t > 216 / 24389 ? Math.cbrt(t) / (3 * t) : 24389 / 27 / 116) / white[k];
  });
  const out = new Float64Array(3 * size);
  for (let u = 0; u < size; u++) {
    const fx = d[0] * slopes[u];
    const fy = d[1] * slopes[size + u];
    const fz = d[2] * slopes[2 * size + u];
    out[u] = 116 * fy;
    out[size + u] = 500 * (fx - fy);
    out[2 * size + u] = 200 * (fy - fz);
  }
  return { Lab, slopes: out };
}

/** What is known of the thicknesses when asking for the spread of the shape. */
type ThicknessKnowledge = "as stated" | "unmeasured unknown" | "all known";

interface Equations {
  /** lower triangle, row by row */
  matrix: Float64Array;
  side: Float64Array;
  cost: number;
  /** sum of squares and number of the Lab residuals alone, in units of their σ */
  squares: number;
  count: number;
}

function equations(
  task: QuickTask,
  parameters: Float64Array,
  without: number,
  knowledge: ThicknessKnowledge = "as stated",
  noise = 1,
): Equations {
  const { problem, basis, size, placeOfFilm, expectations } = task;
  const matrix = new Float64Array(size * size);
  const side = new Float64Array(size);
  const K = new Float64Array(basis.n);
  const S = new Float64Array(basis.n);
  shapeInto(basis, parameters, K, S);
  const sum = { matrix, side, cost: 0, squares: 0, count: 0 };
  const sigma = problem.labSigma * noise;
  problem.drawdowns.forEach(({ readings, thickness }, f) => {
    const place = placeOfFilm[f];
    if (place >= 0) {
      const prior = thicknessPrior(thickness);
      const loose = knowledge === "unmeasured unknown" && thickness.kind === "unknown";
      const precision = 1 / (knowledge === "all known" ? 1e-4 : loose ? 50 : prior.sigma) ** 2;
      const off = parameters[place] - prior.mean;
      matrix[place * size + place] += precision;
      side[place] -= precision * off;
      sum.cost += 0.5 * precision * off * off;
    }
    if (f === without) return;
    for (const reading of readings) {
      const { Lab, slopes } = labOf(task, parameters, K, S, f, reading);
      for (let k = 0; k < 3; k++) {
        const residual = (Lab[k] - reading.Lab[k]) / sigma;
        sum.cost += 0.5 * residual * residual;
        sum.squares += residual * residual;
        sum.count++;
        for (let u = 0; u < size; u++) {
          const slope = slopes[k * size + u] / sigma;
          if (slope === 0) continue;
          side[u] -= slope * residual;
          for (let v = 0; v <= u; v++) matrix[u * size + v] += (slope * slopes[k * size + v]) / sigma;
        }
      }
    }
  });
  for (const { coefficients, value, sigma: width } of expectations) {
    let off = -value;
    for (const [u, factor] of coefficients) off += factor * parameters[u];
    sum.cost += 0.5 * (off / width) ** 2;
    for (const [u, factor] of coefficients) {
      side[u] -= (factor * off) / width ** 2;
      for (const [v, other] of coefficients)
        if (v <= u) matrix[u * size + v] += (factor * other) / width ** 2;
    }
  }
  return sum;
}

/**
 * The unknowns of least cost, by Levenberg-Marquardt from a start.
 *
 * @param without film whose readings do not count
 */
export function minimise(task: QuickTask, start: Float64Array, without = -1): Float64Array {
  const { size } = task;
  let parameters = start.slice();
  let current = equations(task, parameters, without);
  let damping = 1e-2;
  for (let step = 0; step < 60; step++) {
    let fall = 0;
    for (let attempt = 0; attempt < 10; attempt++) {
      const matrix = current.matrix.slice();
      for (let u = 0; u < size; u++) matrix[u * (size + 1)] = matrix[u * (size + 1)] * (1 + damping) + 1e-9;
      if (!factorInPlace(matrix, size)) {
        damping = Math.min(damping * 5, 1e9);
        continue;
      }
      const change = current.side.slice();
      solveFactored(matrix, change);
      const longest = Math.max(...change.map(Math.abs));
      const shrink = longest > 2 ? 2 / longest : 1;
      const trial = parameters.map((value, u) => value + shrink * change[u]);
      const next = equations(task, trial, without);
      if (next.cost < current.cost) {
        fall = (current.cost - next.cost) / Math.max(current.cost, 1e-12);
        parameters = trial;
        current = next;
        damping = Math.max(damping * 0.3, 1e-9);
        break;
      }
      damping = Math.min(damping * 5, 1e9);
    }
    if (fall < 1e-8) break;
  }
  return parameters;
}

/** Noise of the Lab readings ÷ stated; not below 1, for few numbers prove little. */
export function noiseOf(task: QuickTask, parameters: Float64Array): number {
  const { squares, count } = equations(task, parameters, -1);
  const spare = count - Math.min(task.size, count / 2);
  return Math.max(1, Math.sqrt(squares / Math.max(spare, 1)));
}

/** Covariance of the shape's numbers, row by row. */
export function shapeCovariance(
  task: QuickTask,
  parameters: Float64Array,
  noise: number,
  knowledge: ThicknessKnowledge,
): Float64Array[] {
  const { size } = task;
  const { matrix } = equations(task, parameters, -1, knowledge, noise);
  if (!factorInPlace(matrix, size)) throw new RangeError("the colours do not determine K and S");
  const covariance = inverseOfFactored(matrix, size);
  return Array.from({ length: shapeLength }, (_, a) => covariance.subarray(a * size, a * size + shapeLength));
}

/** One drawdown beside its fit and beside what the others say of it. */
export function reportOf(task: QuickTask, parameters: Float64Array, f: number): QuickReport {
  const { problem, basis, placeOfFilm } = task;
  const { label, readings } = problem.drawdowns[f];
  const difference = (from: Float64Array) => {
    const K = new Float64Array(basis.n);
    const S = new Float64Array(basis.n);
    shapeInto(basis, from, K, S);
    return readings.map((reading) => {
      const { Lab } = labOf(task, from, K, S, f, reading);
      const measured = Float64Array.from(reading.Lab);
      return {
        ground: problem.grounds[reading.ground].name,
        measured,
        fitted: Lab,
        deltaE: deltaE2000(measured, Lab),
      };
    });
  };
  const others = problem.drawdowns.some(({ fractions }, g) => g !== f && fractions[0] > 0);
  let leaveOneOut: number | undefined;
  if (others) {
    const rest = minimise(task, parameters, f);
    // The others say nothing of this film's thickness: what was stated, or what it shows itself.
    if (placeOfFilm[f] >= 0 && problem.drawdowns[f].thickness.kind === "unknown")
      rest[placeOfFilm[f]] = parameters[placeOfFilm[f]];
    leaveOneOut = Math.max(...difference(rest).map(({ deltaE }) => deltaE));
  }
  const place = placeOfFilm[f];
  return {
    label,
    thickness: place < 0 ? Number.POSITIVE_INFINITY : Math.exp(parameters[place]),
    readings: difference(parameters),
    leaveOneOut,
  };
}
