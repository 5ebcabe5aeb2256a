import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { type Compiled, type Estimate, withoutFilms } from "./compiled.ts";
import { uncertaintyAt } from "./covariance.ts";
import { bestThickness, predictWithout } from "./leaveOneOut.ts";
import type { Objective } from "./normalEquations.ts";
import { predictFilmInto, thicknessOf } from "./predict.ts";
import type { Reading } from "./problem.ts";
import type { DrawdownReport, ReadingReport } from "./result.ts";

/** What the report is made from. */
interface ReportSource {
  readonly compiled: Compiled;
  readonly estimate: Estimate;
  readonly objective: Objective;
  readonly sharedCovariance: Float64Array;
  readonly weights?: TristimulusWeights;
  readonly leaveOneOut: boolean;
}

/** Relative σ of K or S, of the median wavelength, above which the others cannot be said to predict a film. */
const blindLimit = 0.5;

/** Every drawdown beside its fit, and beside what the others predict of it. Films set aside are reported as well. */
export function reportDrawdowns(source: ReportSource): DrawdownReport[] {
  return source.compiled.problem.drawdowns.map((_, f) => reportOf(source, f));
}

function reportOf(source: ReportSource, f: number): DrawdownReport {
  const { compiled, estimate, objective, sharedCovariance, weights } = source;
  const { problem, used, sharedOfFilm, p } = compiled;
  const drawdown = problem.drawdowns[f];
  const s = sharedOfFilm[f];
  const isUsed = used[f] === 1;
  const thickness = isUsed
    ? thicknessOf(compiled, estimate, f)
    : bestThickness(compiled, estimate, objective, f).thickness;
  const fitted = curvesOf(compiled, estimate, f, thickness);
  const base = {
    label: drawdown.label,
    used: isUsed,
    thickness,
    thicknessLogSigma: s < 0 || !isUsed ? 0 : Math.sqrt(sharedCovariance[s * p + s]),
    statedThickness: drawdown.thickness.kind === "known" ? drawdown.thickness.value : undefined,
    statedLogSigma: drawdown.thickness.kind === "known" ? drawdown.thickness.relativeSigma : undefined,
    rms: rmsOf(drawdown.readings, fitted),
  };
  const plain = drawdown.readings.map((reading, q) => readingReport(compiled, reading, fitted[q]));
  if (!source.leaveOneOut || compiled.films - (isUsed ? 1 : 0) < 1) return { ...base, readings: plain };
  const others = predictFrom(source, f);
  if (others === undefined) return { ...base, readings: plain };
  const { prediction, from } = others;
  const predicted = curvesOf(compiled, from, f, prediction.thickness);
  const readings = drawdown.readings.map((reading, q): ReadingReport => {
    const deltaE = weights && differenceOf(compiled, reading, predicted[q], weights);
    return { ...readingReport(compiled, reading, fitted[q]), predicted: predicted[q], deltaE };
  });
  const stated = base.statedThickness;
  const asStated = stated === undefined ? undefined : curvesOf(compiled, from, f, stated);
  return {
    ...base,
    readings,
    leaveOneOut: weights && Math.max(...readings.map(({ deltaE }) => deltaE ?? 0)),
    leaveOneOutAsStated:
      weights &&
      asStated &&
      Math.max(
        ...drawdown.readings.map((reading, q) => differenceOf(compiled, reading, asStated[q], weights)),
      ),
    thicknessFactor: stated === undefined ? undefined : prediction.freeThickness / stated,
    thicknessFactorLogSigma: stated === undefined ? undefined : prediction.freeLogSigma,
  };
}

/** The fit to the others and the film's best thickness under it; undefined when the others do not settle K and S. */
function predictFrom({ compiled, estimate, objective }: ReportSource, f: number) {
  const { n, m, used } = compiled;
  if (used[f] === 0) {
    return { prediction: bestThickness(compiled, estimate, objective, f), from: estimate };
  }
  const rest = withoutFilms(compiled, [f]);
  const left = rest.used.reduce(
    (sum, one, g) => sum + (one === 1 && rest.fractions[g * rest.components] > 0 ? 1 : 0),
    0,
  );
  if (left === 0) return undefined;
  const out = Array.from(used, (one, g) => (one === 0 ? g : -1)).filter((g) => g >= 0);
  const prediction = predictWithout(compiled, estimate, objective, f, out);
  const from = prediction.others.estimate;
  const { absorptionSigma, scatteringSigma } = uncertaintyAt(rest, from, objective, { dataAlone: true });
  const blind = Array.from({ length: n }, (_, i) =>
    Math.min(absorptionSigma[i] / from.local[i * m], scatteringSigma[i] / from.local[i * m + 1]),
  ).filter((relative) => !(relative < blindLimit)).length;
  return blind > n / 2 ? undefined : { prediction, from };
}

/** Predicted readings of a film, one array each, in the mode they were measured in. */
function curvesOf(compiled: Compiled, estimate: Estimate, f: number, thickness: number): Float64Array[] {
  const { n, firstReading, problem, k1 } = compiled;
  const count = firstReading[f + 1] - firstReading[f];
  const all = new Float64Array(n * count);
  predictFilmInto(compiled, estimate, f, { thickness }, all);
  return problem.drawdowns[f].readings.map(({ specular }, q) => {
    const offset = specular === "excluded" ? k1 : 0;
    return Float64Array.from({ length: n }, (_, i) => all[i * count + q] - offset);
  });
}

function readingReport({ problem }: Compiled, reading: Reading, fitted: Float64Array): ReadingReport {
  const { ground, specular, reflectance } = reading;
  return { ground: problem.grounds[ground].name, specular, measured: reflectance, fitted };
}

/** ΔE00 of a prediction against the reading, both with the specular part excluded. */
function differenceOf(
  { k1 }: Compiled,
  { reflectance, specular }: Reading,
  predicted: Float64Array,
  weights: TristimulusWeights,
): number {
  const offset = specular === "included" ? k1 : 0;
  const lab = (curve: Float64Array) =>
    reflectanceToLab(
      curve.map((value) => Math.max(value - offset, 0)),
      weights,
      new Float64Array(3),
    );
  return deltaE2000(lab(reflectance), lab(predicted));
}

function rmsOf(readings: readonly Reading[], fitted: readonly Float64Array[]): number {
  let sum = 0;
  let count = 0;
  readings.forEach(({ reflectance, sigma }, q) => {
    reflectance.forEach((value, i) => {
      if (sigma[i] === Number.POSITIVE_INFINITY) return;
      sum += (fitted[q][i] - value) ** 2;
      count++;
    });
  });
  return count === 0 ? 0 : Math.sqrt(sum / count);
}
