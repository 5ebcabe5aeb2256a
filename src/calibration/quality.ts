import { modelDoubt } from "../optics/modelError.ts";
import type { Compiled, Estimate } from "./compiled.ts";
import { type Finding, listOf, percent } from "./finding.ts";
import { median } from "./noise.ts";
import type { Objective } from "./normalEquations.ts";
import { k2Of, thicknessOf } from "./predict.ts";
import type { CalibrationProblem } from "./problem.ts";
import type { CalibratedCurves, DrawdownReport } from "./result.ts";
import type { SmoothnessChoice } from "./smoothness.ts";

/** What the remarks are made from. */
export interface QualitySource {
  readonly compiled: Compiled;
  readonly estimate: Estimate;
  readonly objective: Objective;
  readonly choice: SmoothnessChoice;
  readonly curves: CalibratedCurves;
  readonly drawdowns: readonly DrawdownReport[];
  readonly wavelengths: ArrayLike<number>;
  /** root mean square of fitted − measured, in reflectance */
  readonly rms: number;
  /** K and S do not come out: remarks on how well they do are left out */
  readonly refused: boolean;
}

/** Root mean square residual, in reflectance, that is worth a word; and above which the film model does not hold. */
const misfitLimit = 0.015;
export const misfitRefused = 0.06;

/** A thickness is said to disagree when it is off by this many of its standard deviations and by this much at least. */
const disagreement = { sigmas: 3, share: 0.04 } as const;

/** Remarks on a finished fit: how well it describes the readings, what disagrees, where the film theory is doubtful. */
export function qualityFindings(source: QualitySource): Finding[] {
  const { compiled, estimate, objective, choice, drawdowns } = source;
  const { problem, fractions, components } = compiled;
  const findings: Finding[] = [];
  const used = drawdowns.filter((drawdown) => drawdown.used);
  const painted = used.filter((_, index) => {
    const f = drawdowns.indexOf(used[index]);
    return fractions[f * components] > 0;
  });
  if (painted.length === 1) {
    findings.push({
      code: "single-drawdown",
      severity: "caution",
      text:
        `${painted[0].label} is the only drawdown of the paste: a mistake in it would go unnoticed. Add let-downs and a ` +
        "second thickness.",
      drawdowns: [painted[0].label],
    });
  }
  const { rms } = source;
  if (rms > misfitLimit) {
    const worst = used.reduce((a, b) => (b.rms > a.rms ? b : a));
    findings.push({
      code: "misfit",
      severity: rms > misfitRefused ? "refused" : "caution",
      text:
        `The fitted curves miss the readings by ${rms.toFixed(3)} of reflectance (root mean square), ${worst.label} by ` +
        `${worst.rms.toFixed(3)}: ` +
        (rms > misfitRefused
          ? "these drawdowns do not follow the film model; check labels, thicknesses and specular mode."
          : "more than noise; look at the residuals for a drawdown or a part of the spectrum that stands out."),
      drawdowns: [worst.label],
    });
  }
  findings.push(...thicknessFindings(used), ...biasFinding(source, used));
  if (objective.noiseScale > 2 || objective.noiseScale < 0.5) {
    findings.push({
      code: "noise-differs",
      severity: objective.noiseScale > 2 ? "caution" : "note",
      text:
        `The readings scatter ${objective.noiseScale.toFixed(1)} times as much about the fit as their stated noise; the bands ` +
        "were made to match.",
      drawdowns: [],
    });
  }
  if (!source.refused) findings.push(...doubtFindings(source), ...companionFinding(problem));
  if (problem.thicknessUnit === "amount") {
    findings.push({
      code: "per-amount",
      severity: "caution",
      text:
        "Thicknesses are told only in proportion, so K and S are per unit of the laid amount, not per µm: measure one film " +
        "to use them in recipes.",
      drawdowns: [],
    });
  }
  if (compiled.sharedOfK2 >= 0) {
    findings.push({
      code: "surface-estimated",
      severity: "note",
      text: `The internal surface reflection k2 was estimated with the rest: ${k2Of(compiled, estimate).toFixed(3)}.`,
      drawdowns: [],
    });
  }
  if (choice.weight > 0) {
    findings.push({
      code: "smoothed",
      severity: "note",
      text:
        `K and S were held smooth along the spectrum with weight ${choice.weight}` +
        `${choice.tried.length > 0 ? ", chosen by cross-validation" : ""}; narrow features may be flattened and the bands rely on it.`,
      drawdowns: [],
    });
  } else if (choice.tried.length > 0) {
    findings.push({
      code: "smoothed",
      severity: "note",
      text: "Cross-validation found no gain in holding K and S smooth, so they are as the readings gave them.",
      drawdowns: [],
    });
  }
  if (!source.refused) findings.push(settledFinding(source));
  return findings;
}

function thicknessFindings(used: readonly DrawdownReport[]): Finding[] {
  return used.flatMap(({ label, thicknessFactor, thicknessFactorLogSigma, statedLogSigma }) => {
    if (thicknessFactor === undefined || thicknessFactorLogSigma === undefined) return [];
    const off = Math.log(thicknessFactor);
    const sigma = Math.hypot(thicknessFactorLogSigma, statedLogSigma ?? 0);
    if (Math.abs(off) < disagreement.share || Math.abs(off) < disagreement.sigmas * sigma) return [];
    return [
      {
        code: "thickness-disagrees" as const,
        severity: "caution" as const,
        text:
          `${label} disagrees with the other drawdowns about thickness: seen by them it is ` +
          `${percent(Math.abs(thicknessFactor - 1))} ${thicknessFactor > 1 ? "thicker" : "thinner"} than stated, so K and S from ` +
          `it alone would come out ${thicknessFactor > 1 ? "too large" : "too small"} by the factor ${thicknessFactor.toFixed(2)}.`,
        drawdowns: [label],
      },
    ];
  });
}

/** All stated thicknesses off in one direction: a gauge or a companion that is off, not a single film. */
function biasFinding({ refused }: QualitySource, used: readonly DrawdownReport[]): Finding[] {
  const stated = used.filter(({ statedThickness }) => statedThickness !== undefined);
  if (refused || stated.length < 3) return [];
  const offs = stated.map(({ thickness, statedThickness }) => Math.log(thickness / statedThickness!));
  const middle = median(offs);
  const sigma =
    Math.sqrt(stated.reduce((sum, { statedLogSigma }) => sum + (statedLogSigma ?? 0) ** 2, 0)) /
    stated.length;
  if (Math.abs(middle) < 0.03 || Math.abs(middle) < disagreement.sigmas * 1.25 * sigma) return [];
  return [
    {
      code: "thickness-bias",
      severity: "caution",
      text:
        `The stated thicknesses are too ${middle > 0 ? "small" : "large"} throughout, by ${percent(Math.abs(Math.exp(middle) - 1))}: ` +
        "either they were measured wrongly in the same way, or K and S of the known companion are off by as much.",
      drawdowns: stated.map(({ label }) => label),
    },
  ];
}

function companionFinding({ companions, drawdowns }: CalibrationProblem): Finding[] {
  const exact = companions.filter((companion, c) => {
    const used = drawdowns.some(({ fractions }) => fractions[c + 1] > 0);
    return (
      used &&
      !companion.scatteringSigma?.some((sigma) => sigma > 0) &&
      Math.max(...companion.scattering) > 0.01
    );
  });
  if (exact.length === 0) return [];
  return [
    {
      code: "hangs-on-companion",
      severity: "note",
      text:
        `K and S of ${listOf(exact.map(({ name }) => name))} were taken as exact. The bands tell how well the new paste is known ` +
        "beside it: an error there, say 5 %, carries over to the strength found here in full.",
      drawdowns: [],
    },
  ];
}

function doubtFindings({ compiled, estimate, wavelengths }: QualitySource): Finding[] {
  const { n, m, components, fractions, problem, localOfComponent, known, used } = compiled;
  const doubtful: string[] = [];
  let words = "";
  if (problem.thicknessUnit !== "µm") return [];
  const K = new Float64Array(n);
  const S = new Float64Array(n);
  problem.drawdowns.forEach(({ label }, f) => {
    const X = thicknessOf(compiled, estimate, f);
    if (used[f] === 0 || X === Number.POSITIVE_INFINITY) return;
    for (let i = 0; i < n; i++) {
      K[i] = 0;
      S[i] = 0;
      for (let j = 0; j < components; j++) {
        const u = localOfComponent[j];
        const at = (i * components + j) * 2;
        K[i] += fractions[f * components + j] * (u < 0 ? known[at] : estimate.local[i * m + u]);
        S[i] += fractions[f * components + j] * (u < 0 ? known[at + 1] : estimate.local[i * m + u + 1]);
      }
    }
    const text = modelDoubt(K, S, X, wavelengths);
    if (text === undefined) return;
    doubtful.push(label);
    if (words === "") words = text;
  });
  if (doubtful.length === 0) return [];
  const names =
    doubtful.length > 4
      ? `${listOf(doubtful.slice(0, 3))} and ${doubtful.length - 3} more`
      : listOf(doubtful);
  return [{ code: "thin-strong-film", severity: "note", text: `${names}: ${words}`, drawdowns: doubtful }];
}

function settledFinding({ curves }: QualitySource): Finding {
  const { absorption, scattering, absorptionSigma, scatteringSigma, status } = curves;
  const relative = (values: Float64Array, sigmas: Float64Array, kind: "absorption" | "scattering"): number =>
    median(
      Array.from(values, (value, i) =>
        status[i] === "both" || status[i] === kind ? sigmas[i] / value : Number.NaN,
      ).filter((share) => Number.isFinite(share)),
    );
  return {
    code: "quality",
    severity: "note",
    text:
      `Median standard uncertainty where the panels settle them: K ±${percent(relative(absorption, absorptionSigma, "absorption"))}, ` +
      `S ±${percent(relative(scattering, scatteringSigma, "scattering"))}.`,
    drawdowns: [],
  };
}
