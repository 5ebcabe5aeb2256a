import { Matrix, solve } from "ml-matrix";
import { bootstrapChunk } from "../../src/calibration/bootstrap.ts";
import { calibrate } from "../../src/calibration/calibrate.ts";
import { compile } from "../../src/calibration/compiled.ts";
import { fitEstimate } from "../../src/calibration/fit.ts";
import { noSmoothness } from "../../src/calibration/normalEquations.ts";
import type { CalibrationProblem } from "../../src/calibration/problem.ts";
import { usualCalibrationOptions } from "../../src/calibration/result.ts";
import { startEstimate } from "../../src/calibration/start.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { points, simulationOf, surface, usualDrawdowns } from "../calibration/benchDesign.ts";
import { seededPaste } from "../calibration/seededPastes.ts";
import { simulateDrawdowns } from "../calibration/simulateDrawdowns.ts";
import { line, medianMs } from "./measure.ts";

const refits = 200;
const objective = { huber: Number.POSITIVE_INFINITY, noiseScale: 1, smoothness: noSmoothness };

/** 12 drawdowns (masstone and three let-downs at three unmeasured thicknesses, over black and white) × 36 wavelengths. */
function task(seed: number): CalibrationProblem {
  const simulation = simulationOf(seededPaste(3), usualDrawdowns("unknown", [12, 20, 30]), seed);
  const problem = simulateDrawdowns(simulation);
  // Bare grounds taken as exact, so that the plain solve has the same unknowns.
  return {
    ...problem,
    grounds: problem.grounds.map((ground) => ({ ...ground, sigma: new Float64Array(points) })),
  };
}

/** Calibration of a paste: block structure and analytic derivatives beside finite differences and a dense solve. */
export async function benchCalibration(): Promise<void> {
  const problem = task(5);
  const compiled = compile(problem);
  const start = startEstimate(compiled);
  const ours = fitEstimate(compiled, start, objective);
  const unknowns = [...ours.estimate.local.map((_, k) => start.local[k]), ...start.shared];
  const plain = plainFit(problem, unknowns);
  if (!(Math.abs(plain.cost / ours.cost - 1) < 1e-3)) {
    throw new Error(`the plain solve ended at ${plain.cost}, ours at ${ours.cost}`);
  }
  const plainMs = await medianMs(3, () => void plainFit(problem, unknowns));
  const fitMs = await medianMs(40, () => void fitEstimate(compiled, startEstimate(compiled), objective));
  line("calibration: fit of 12 drawdowns, unknown thicknesses", fitMs, plainMs, "ms");

  const nm = wavelengths(workingGrid);
  const weights = weightsFor("1964-10", "D65");
  const whole = () => calibrate(problem, usualCalibrationOptions, nm, weights);
  line(
    "  the same with noise, verdict, covariance, leave-one-out",
    await medianMs(20, () => void whole()),
    plainMs,
    "ms",
  );

  const { fit } = whole();
  if (fit === undefined) throw new Error("the bench calibration was refused");
  // A refit starts from the fit and meets other noise.
  const refitMs = await medianMs(3, (k) => void plainFit(task(6 + k), plain.unknowns));
  const bootstrapMs = await medianMs(3, () => void bootstrapChunk({ fit, seed: 1, first: 0, count: refits }));
  line(
    `  ${refits} bootstrap refits, one thread (plain: one refit × ${refits})`,
    bootstrapMs,
    refitMs * refits,
    "ms",
  );
}

/** The obvious way: all unknowns in one vector, forward differences, dense normal equations. */
function plainFit(
  problem: CalibrationProblem,
  start: readonly number[],
): { unknowns: number[]; cost: number } {
  let unknowns = [...start];
  let residuals = plainResiduals(problem, unknowns);
  let cost = halfSquares(residuals);
  let damping = 1e-4;
  for (let step = 0; step < 60; step++) {
    const size = unknowns.length;
    const jacobian = new Matrix(residuals.length, size);
    for (let u = 0; u < size; u++) {
      const change = 1e-6 * Math.max(Math.abs(unknowns[u]), 1e-6);
      const moved = plainResiduals(
        problem,
        unknowns.map((value, k) => (k === u ? value + change : value)),
      );
      for (let r = 0; r < residuals.length; r++) jacobian.set(r, u, (moved[r] - residuals[r]) / change);
    }
    const transposed = jacobian.transpose();
    const matrix = transposed.mmul(jacobian);
    const side = transposed.mmul(Matrix.columnVector(residuals)).mul(-1);
    let fall = 0;
    for (let attempt = 0; attempt < 10; attempt++) {
      const damped = matrix.clone();
      for (let u = 0; u < size; u++) damped.set(u, u, damped.get(u, u) * (1 + damping) + 1e-12);
      const change = solve(damped, side).getColumn(0);
      const trial = unknowns.map((value, u) =>
        u < 2 * points ? Math.max(0, value + change[u]) : value + change[u],
      );
      const trialResiduals = plainResiduals(problem, trial);
      const trialCost = halfSquares(trialResiduals);
      if (trialCost < cost) {
        fall = cost - trialCost;
        unknowns = trial;
        residuals = trialResiduals;
        cost = trialCost;
        damping *= 0.2;
        break;
      }
      damping *= 10;
    }
    if (fall < 1e-9 * cost + 1e-5) break;
  }
  return { unknowns, cost };
}

const halfSquares = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + 0.5 * value * value, 0);

/** Residuals of all readings, then those of the loose thickness priors (ln X = ln 30 ± 3). */
function plainResiduals(
  { companions, grounds, drawdowns }: CalibrationProblem,
  unknowns: readonly number[],
): number[] {
  const { externalReflection: k1, internalReflection: k2 } = surface;
  const residuals: number[] = [];
  drawdowns.forEach(({ fractions, readings }, f) => {
    const X = Math.exp(unknowns[2 * points + f]);
    for (const { ground, reflectance, sigma } of readings) {
      for (let i = 0; i < points; i++) {
        let K = fractions[0] * unknowns[2 * i];
        let S = fractions[0] * unknowns[2 * i + 1];
        companions.forEach(({ absorption, scattering }, j) => {
          K += fractions[j + 1] * absorption[i];
          S += fractions[j + 1] * scattering[i];
        });
        const bare = grounds[ground].reflectance[i];
        const Rg = (bare - k1) / (1 - k1 - k2 + k2 * bare);
        const a = (S + K) / S;
        const b = Math.sqrt(a * a - 1);
        const coth = 1 / Math.tanh(b * S * X);
        const R = (1 - Rg * (a - b * coth)) / (a - Rg + b * coth);
        residuals.push((k1 + ((1 - k1) * (1 - k2) * R) / (1 - k2 * R) - reflectance[i]) / sigma[i]);
      }
    }
  });
  drawdowns.forEach((_, f) => {
    residuals.push((unknowns[2 * points + f] - Math.log(30)) / 3);
  });
  return residuals;
}
