import { finite } from "../colour/checks.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { beyondFindings, type Finding, gathering, listOf } from "./finding.ts";
import { median } from "./noise.ts";
import { minimise, noiseOf, reportOf, shapeCovariance } from "./quickFit.ts";
import type { QuickProblem, QuickResult } from "./quickProblem.ts";
import { shapeInto, shapeMisfit, splineCoefficients } from "./quickShape.ts";
import { createQuickTask, type QuickTask, startingPoint } from "./quickTask.ts";

/** 1σ of the mean of ln K, from unmeasured thickness, above which the result is refused. */
const strengthLimit = 0.5;

/**
 * The misfit of the shape is not spread evenly along the spectrum, so that σ as computed is too small where it matters:
 * found by simulation on pastes 1 to 20 of the tests (measured and modelled), for 90 % bands that hold about 90 %.
 */
const bandWidening = 1.4;

/**
 * Coarse K and S from colours alone: a spline of few knots for ln K, a power of the wavelength for S, and the
 * thicknesses, by regularised least squares on L*, a*, b* (Gauss-Newton with analytic derivatives). The result is
 * always marked coarse and tells the error by which each panel is missed when the others predict it.
 *
 * @param weights light and observer of the Lab readings, on the grid of the curves
 * @throws RangeError or TypeError for readings that are no three finite numbers, or curves off the grid
 */
export function quickCalibration(
  problem: QuickProblem,
  weights: TristimulusWeights,
  wavelengths: ArrayLike<number>,
): QuickResult {
  for (const { label, readings } of problem.drawdowns) {
    for (const { Lab } of readings) {
      if (Lab.length !== 3)
        throw new TypeError(`${label}: a Lab reading has three numbers, not ${Lab.length}`);
      for (let k = 0; k < 3; k++) finite(`${label}: ${"Lab"[k]}*`, Lab[k]);
    }
  }
  const painted = problem.drawdowns.filter(
    ({ fractions, readings }) => fractions[0] > 0 && readings.length > 0,
  );
  if (painted.length === 0)
    return refusal(wavelengths.length, "nothing-to-fit", "No drawdown with a reading holds the new paste.");

  const task = createQuickTask(problem, weights, wavelengths);
  const all = minimise(task, startingPoint(task));
  const noise = noiseOf(task, all);
  const spread = shapeCovariance(task, all, noise, "as stated");
  const blind = meanSigma(shapeCovariance(task, all, noise, "unmeasured unknown"));
  const { findings, add } = gathering();
  if (blind > strengthLimit && blind > 1.5 * meanSigma(shapeCovariance(task, all, noise, "all known"))) {
    add(
      "thickness-and-strength",
      "refused",
      "Thickness and strength cannot be told apart from these colours: measure one film, or add a let-down with the " +
        "known white.",
      problem.drawdowns.filter(({ thickness }) => thickness.kind === "unknown").map(({ label }) => label),
    );
  }
  const drawdowns = problem.drawdowns.map((_, f) => reportOf(task, all, f));
  const errors = drawdowns.flatMap(({ leaveOneOut }) => (leaveOneOut === undefined ? [] : [leaveOneOut]));
  const expectedError = errors.length > 1 ? median(errors) : undefined;
  const bad = drawdowns.filter(
    ({ readings }) => Math.max(...readings.map(({ deltaE }) => deltaE)) > 6 * Math.max(problem.labSigma, 0.5),
  );
  if (bad.length > 0) {
    add(
      "misfit",
      "caution",
      `${listOf(bad.map(({ label }) => label))} cannot be described together with the others: check label, thickness and specular mode.`,
      bad.map(({ label }) => label),
    );
  }
  add(
    "quality",
    "caution",
    "Coarse: K and S were made from colours alone, so their shape along the spectrum is a guess between few numbers. " +
      (expectedError === undefined
        ? "With one drawdown there is no telling how far off they are."
        : `Panels predicted from the others are missed by ΔE00 ${expectedError.toFixed(1)} (median); other lights may be worse.`),
  );
  const { K, S } = curvesOf(task, all);
  findings.unshift(...beyondFindings({ absorption: K, scattering: S }));
  return {
    status: findings.some(({ severity }) => severity === "refused") ? "refused" : "coarse",
    findings,
    absorption: K,
    scattering: S,
    ...logSigmas(task, spread),
    expectedError,
    drawdowns,
  };
}

function curvesOf({ basis }: QuickTask, parameters: Float64Array): { K: Float64Array; S: Float64Array } {
  const K = new Float64Array(basis.n);
  const S = new Float64Array(basis.n);
  shapeInto(basis, parameters, K, S);
  return { K, S };
}

/** 1σ of the mean of the spline coefficients: how well the overall strength is known, as ln K. */
function meanSigma(covariance: readonly Float64Array[]): number {
  let sum = 0;
  for (let a = 0; a < splineCoefficients; a++)
    for (let b = 0; b < splineCoefficients; b++) sum += covariance[a][b];
  return Math.sqrt(Math.max(sum, 0)) / splineCoefficients;
}

function logSigmas({ basis }: QuickTask, covariance: readonly Float64Array[]) {
  const { n, spline, logWavelength } = basis;
  const level = splineCoefficients;
  const absorptionLogSigma = Float64Array.from({ length: n }, (_, i) => {
    let sum = 0;
    for (let a = 0; a < splineCoefficients; a++) {
      const at = spline[i * splineCoefficients + a];
      for (let b = 0; b < splineCoefficients; b++)
        sum += at * spline[i * splineCoefficients + b] * covariance[a][b];
    }
    return bandWidening * Math.hypot(Math.sqrt(Math.max(sum, 0)), shapeMisfit.logAbsorption);
  });
  const scatteringLogSigma = logWavelength.map((x) => {
    const [own, slope, both] = [
      covariance[level][level],
      covariance[level + 1][level + 1],
      covariance[level][level + 1],
    ];
    return (
      bandWidening *
      Math.hypot(Math.sqrt(Math.max(own + 2 * x * both + x * x * slope, 0)), shapeMisfit.logScattering)
    );
  });
  return { absorptionLogSigma, scatteringLogSigma };
}

function refusal(n: number, code: Finding["code"], text: string): QuickResult {
  return {
    status: "refused",
    findings: [{ code, severity: "refused", text, drawdowns: [] }],
    absorption: new Float64Array(n),
    scattering: new Float64Array(n),
    absorptionLogSigma: new Float64Array(n),
    scatteringLogSigma: new Float64Array(n),
    drawdowns: [],
  };
}
