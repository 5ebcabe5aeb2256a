import { beyondAnyPaint } from "../coating/component.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { type Compiled, compile, withoutClearCompanions, withoutFilms } from "./compiled.ts";
import { effectiveUnknowns, uncertaintyAt } from "./covariance.ts";
import { type Finding, mostSevereFirst } from "./finding.ts";
import { type Fit, fitEstimate } from "./fit.ts";
import { type Identifiability, identify } from "./identifiability.ts";
import { noiseScale, rmsMisfit, standardisedResiduals } from "./noise.ts";
import { noSmoothness, type Objective } from "./normalEquations.ts";
import { type Outlier, outlierFindings, setOutliersAside } from "./outliers.ts";
import { k2Of } from "./predict.ts";
import type { CalibrationProblem } from "./problem.ts";
import { misfitRefused, qualityFindings } from "./quality.ts";
import { reportDrawdowns } from "./report.ts";
import type { CalibratedCurves, CalibrationOptions, CalibrationResult } from "./result.ts";
import { screen } from "./screening.ts";
import { chooseSmoothness, type SmoothnessChoice, smoothnessOf } from "./smoothness.ts";
import { startEstimate } from "./start.ts";

/** Huber's threshold in standard deviations: 1.2 % of normally spread readings lie beyond it. */
const huberThreshold = 2.5;

/**
 * K and S of a new paste from drawdowns: screening, linear start, bounded weighted non-linear least squares over all
 * readings with thicknesses (and on request k2) as shared unknowns, outliers set aside, noise from the residuals,
 * covariance, and a verdict in words. Unmeasured thicknesses are estimated where the data allow; where they do not,
 * the result is refused with the reason.
 *
 * @param wavelengths nm of the curves, for the words
 * @param weights observer and light for leave-one-out ΔE00; left out = no colour differences
 * @returns always a result; `status` is "refused" when no K and S can be had from the data
 * @throws TypeError when curves differ in length, RangeError for fractions that are no shares
 * Source: film on a ground, Kubelka 1948; surface, Saunderson 1942; start, Walowit, McCarthy, Berns 1987.
 */
export function calibrate(
  problem: CalibrationProblem,
  options: CalibrationOptions,
  wavelengths: ArrayLike<number>,
  weights?: TristimulusWeights,
): CalibrationResult {
  const screening = screen(problem);
  if (screening.findings.some((finding) => finding.severity === "refused")) {
    return nothing(problem, screening.findings);
  }
  const compiled = compile(screening.problem, options.k2Sigma);
  const huber = options.loss === "huber" ? huberThreshold : Number.POSITIVE_INFINITY;
  const first: Objective = { huber, noiseScale: 1, smoothness: noSmoothness };
  let search = fitEstimate(compiled, startEstimate(compiled), first);

  let outliers: readonly Outlier[] = [];
  if (options.outliers === "set aside" && compiled.films > 3) {
    const cleaned = setOutliersAside(compiled, search, first);
    outliers = cleaned.outliers;
    search = cleaned.fit;
  }
  const inUse = withoutFilms(
    compiled,
    outliers.map(({ film }) => film),
  );
  const refined = refine(inUse, search, first, options);
  return summarise({
    compiled: inUse,
    ...refined,
    outliers,
    screening: screening.findings,
    wavelengths,
    weights,
    options,
  });
}

/** Noise from the residuals, smoothness by choice, and the fit that belongs to them. */
function refine(
  compiled: Compiled,
  first: Fit,
  objective: Objective,
  { noise, smoothness }: CalibrationOptions,
): { search: Fit; objective: Objective; choice: SmoothnessChoice } {
  let search = first;
  let current = objective;
  if (noise === "estimated") {
    const unknowns = effectiveUnknowns(compiled, search.estimate, current);
    const scale = noiseScale(compiled, standardisedResiduals(compiled, search.estimate), unknowns);
    current = { ...current, noiseScale: scale };
    search = fitEstimate(compiled, search.estimate, current);
  }
  let choice: SmoothnessChoice = { weight: typeof smoothness === "number" ? smoothness : 0, tried: [] };
  if (smoothness === "cross-validated") choice = chooseSmoothness(compiled, search.estimate, current);
  if (choice.weight > 0) {
    current = { ...current, smoothness: smoothnessOf(choice.weight, compiled, search.estimate) };
    search = fitEstimate(compiled, search.estimate, current);
  }
  return { search, objective: current, choice };
}

interface Ingredients {
  compiled: Compiled;
  search: Fit;
  objective: Objective;
  choice: SmoothnessChoice;
  outliers: readonly Outlier[];
  screening: readonly Finding[];
  wavelengths: ArrayLike<number>;
  weights?: TristimulusWeights;
  options: CalibrationOptions;
}

function summarise(all: Ingredients): CalibrationResult {
  const { compiled, search, objective, choice, outliers, wavelengths, weights, options } = all;
  const { n, m, problem, sharedOfK2, p } = compiled;
  const { estimate } = search;
  const uncertainty = uncertaintyAt(compiled, estimate, objective, { whole: true });
  // A nearly clear binder must not serve as the measure of thickness: nobody knows its traces of K and S well enough.
  const rulers = withoutClearCompanions(compiled);
  const known = identify(
    compiled,
    estimate,
    uncertaintyAt(rulers, estimate, objective, { dataAlone: true }),
    wavelengths,
  );
  const curves: CalibratedCurves = {
    absorption: Float64Array.from({ length: n }, (_, i) => estimate.local[i * m]),
    scattering: Float64Array.from({ length: n }, (_, i) => estimate.local[i * m + 1]),
    absorptionSigma: uncertainty.absorptionSigma,
    scatteringSigma: uncertainty.scatteringSigma,
    correlation: uncertainty.correlation,
    covariance: uncertainty.covariance,
    status: known.status,
  };
  const rms = rmsMisfit(compiled, standardisedResiduals(compiled, estimate));
  // Where the data do not tell K and S, that is the reason, and their size means nothing.
  const untold = known.findings.some((finding) => finding.severity === "refused");
  const beyond = untold ? [] : beyondFindings(problem, curves);
  const refused = untold || rms > misfitRefused || beyond.length > 0;
  const drawdowns = reportDrawdowns({
    ...{ compiled, estimate, objective, sharedCovariance: uncertainty.sharedCovariance, weights },
    leaveOneOut: options.leaveOneOut && !refused,
  });
  const findings = mostSevereFirst([
    ...all.screening,
    ...beyond,
    ...known.findings,
    ...outlierFindings(outliers),
    ...qualityFindings({
      compiled,
      estimate,
      objective,
      choice,
      curves,
      drawdowns,
      wavelengths,
      rms,
      refused,
    }),
  ]);
  const kept = problem.drawdowns.filter((_, f) => compiled.used[f] === 1);
  return {
    status: statusOf(findings),
    findings,
    curves,
    thicknessUnit: problem.thicknessUnit,
    drawdowns,
    outliers,
    companions: freeCompanions(compiled, estimate.local),
    k2: {
      value: k2Of(compiled, estimate),
      sigma: sharedOfK2 < 0 ? 0 : Math.sqrt(uncertainty.sharedCovariance[sharedOfK2 * p + sharedOfK2]),
    },
    noiseScale: objective.noiseScale,
    smoothness: choice,
    ...measuresOf(known),
    search: { status: search.status, steps: search.steps },
    fit: {
      problem: { ...problem, drawdowns: kept },
      k2Sigma: options.k2Sigma,
      objective,
      local: estimate.local,
      shared: sharedOfKept(compiled, estimate.shared),
    },
  };
}

/** K or S that no paint can have, where they are per µm. */
function beyondFindings({ thicknessUnit }: CalibrationProblem, curves: CalibratedCurves): Finding[] {
  const beyond = thicknessUnit === "µm" ? beyondAnyPaint({ name: "The paste", ...curves }) : undefined;
  if (beyond === undefined) return [];
  const text = `${beyond}. Check the scale of the readings, the surface constants, and which column is which component.`;
  return [{ code: "beyond-any-paint", severity: "refused", text, drawdowns: [] }];
}

function measuresOf({ strengthSigma, rank, unknowns, condition }: Identifiability) {
  return { strengthSigma, rank, unknowns, condition };
}

function statusOf(findings: readonly Finding[]): CalibrationResult["status"] {
  if (findings.some((finding) => finding.severity === "refused")) return "refused";
  return findings.some((finding) => finding.severity === "caution") ? "accepted with cautions" : "accepted";
}

/** Shared unknowns of the films that stayed, in the order a problem without the others would have. */
function sharedOfKept({ sharedOfFilm, used, sharedOfK2 }: Compiled, shared: Float64Array): Float64Array {
  const kept: number[] = [];
  sharedOfFilm.forEach((s, f) => {
    if (s >= 0 && used[f] === 1) kept.push(shared[s]);
  });
  if (sharedOfK2 >= 0) kept.push(shared[sharedOfK2]);
  return Float64Array.from(kept);
}

function freeCompanions({ problem, localOfComponent, n, m }: Compiled, local: Float64Array) {
  return problem.companions.flatMap((companion, c) => {
    const free = [companion.absorptionSigma, companion.scatteringSigma].some((sigma) =>
      sigma?.some((value) => value === Number.POSITIVE_INFINITY),
    );
    if (!free) return [];
    const u = localOfComponent[c + 1];
    const curve = (offset: number) => Float64Array.from({ length: n }, (_, i) => local[i * m + u + offset]);
    return [{ name: companion.name, absorption: curve(0), scattering: curve(1) }];
  });
}

function nothing(problem: CalibrationProblem, findings: readonly Finding[]): CalibrationResult {
  return {
    status: "refused",
    findings: mostSevereFirst(findings),
    thicknessUnit: problem.thicknessUnit,
    drawdowns: [],
    outliers: [],
    companions: [],
    k2: { value: problem.surface.internalReflection, sigma: 0 },
    noiseScale: 1,
    smoothness: { weight: 0, tried: [] },
    ...{ strengthSigma: 0, rank: 0, unknowns: 0, condition: 1 },
    search: { status: "converged", steps: 0 },
  };
}
