import { modelDoubt } from "../optics/modelError.ts";
import type { Compiled, Estimate } from "./compiled.ts";
import { type Add, type Finding, gathering, listOf, percent } from "./finding.ts";
import { median } from "./noise.ts";
import type { Objective } from "./normalEquations.ts";
import { fractionsOf, k2Of, mixInto, thicknessOf } from "./predict.ts";
import type { CalibrationProblem } from "./problem.ts";
import type { CalibratedCurves, DrawdownReport } from "./result.ts";
import type { SmoothnessChoice } from "./smoothness.ts";

/** What the remarks are made from. */
interface QualitySource {
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
  const { findings, add } = gathering();
  const used = drawdowns.filter((drawdown) => drawdown.used);
  const painted = used.filter((_, index) => {
    const f = drawdowns.indexOf(used[index]);
    return fractions[f * components] > 0;
  });
  if (painted.length === 1) {
    add(
      "single-drawdown",
      "caution",
      `${painted[0].label} is the only drawdown of the paste: a mistake in it would go unnoticed. Add let-downs and a ` +
        "second thickness.",
      [painted[0].label],
    );
  }
  const { rms } = source;
  if (rms > misfitLimit) {
    const worst = used.reduce((a, b) => (b.rms > a.rms ? b : a));
    add(
      "misfit",
      rms > misfitRefused ? "refused" : "caution",
      `The fitted curves miss the readings by ${rms.toFixed(3)} of reflectance (root mean square), ${worst.label} by ` +
        `${worst.rms.toFixed(3)}: ` +
        (rms > misfitRefused
          ? "these drawdowns do not follow the film model; check labels, thicknesses and specular mode."
          : "more than noise; look at the residuals for a drawdown or a part of the spectrum that stands out."),
      [worst.label],
    );
  }
  tellThicknesses(used, add);
  tellBias(source, used, add);
  if (objective.noiseScale > 2 || objective.noiseScale < 0.5) {
    add(
      "noise-differs",
      objective.noiseScale > 2 ? "caution" : "note",
      `The readings scatter ${objective.noiseScale.toFixed(1)} times as much about the fit as their stated noise; the bands ` +
        "were made to match.",
    );
  }
  if (!source.refused) {
    tellDoubt(source, add);
    tellCompanions(problem, add);
  }
  if (problem.thicknessUnit === "amount") {
    add(
      "per-amount",
      "caution",
      "Thicknesses are told only in proportion, so K and S are per unit of the laid amount, not per µm: measure one film " +
        "to use them in recipes.",
    );
  }
  if (compiled.sharedOfK2 >= 0) {
    add(
      "surface-estimated",
      "note",
      `The internal surface reflection k2 was estimated with the rest: ${k2Of(compiled, estimate).toFixed(3)}.`,
    );
  }
  if (choice.weight > 0) {
    add(
      "smoothed",
      "note",
      `K and S were held smooth along the spectrum with weight ${choice.weight}` +
        `${choice.tried.length > 0 ? ", chosen by cross-validation" : ""}; narrow features may be flattened and the bands rely on it.`,
    );
  } else if (choice.tried.length > 0) {
    add(
      "smoothed",
      "note",
      "Cross-validation found no gain in holding K and S smooth, so they are as the readings gave them.",
    );
  }
  if (!source.refused) tellSettled(source, add);
  return findings;
}

function tellThicknesses(used: readonly DrawdownReport[], add: Add): void {
  for (const { label, thicknessFactor, thicknessFactorLogSigma, statedLogSigma } of used) {
    if (thicknessFactor === undefined || thicknessFactorLogSigma === undefined) continue;
    const off = Math.abs(Math.log(thicknessFactor));
    const sigma = Math.hypot(thicknessFactorLogSigma, statedLogSigma ?? 0);
    if (off < disagreement.share || off < disagreement.sigmas * sigma) continue;
    add(
      "thickness-disagrees",
      "caution",
      `${label} disagrees with the other drawdowns about thickness: seen by them it is ` +
        `${percent(Math.abs(thicknessFactor - 1))} ${thicknessFactor > 1 ? "thicker" : "thinner"} than stated, so K and S from ` +
        `it alone would come out ${thicknessFactor > 1 ? "too large" : "too small"} by the factor ${thicknessFactor.toFixed(2)}.`,
      [label],
    );
  }
}

/** All stated thicknesses off in one direction: a gauge or a companion that is off, not a single film. */
function tellBias({ refused }: QualitySource, used: readonly DrawdownReport[], add: Add): void {
  const stated = used.filter(({ statedThickness }) => statedThickness !== undefined);
  if (refused || stated.length < 3) return;
  const middle = median(
    stated.map(({ thickness, statedThickness }) => Math.log(thickness / statedThickness!)),
  );
  const sigma =
    Math.sqrt(stated.reduce((sum, { statedLogSigma }) => sum + (statedLogSigma ?? 0) ** 2, 0)) /
    stated.length;
  if (Math.abs(middle) < 0.03 || Math.abs(middle) < disagreement.sigmas * 1.25 * sigma) return;
  add(
    "thickness-bias",
    "caution",
    `The stated thicknesses are too ${middle > 0 ? "small" : "large"} throughout, by ${percent(Math.abs(Math.exp(middle) - 1))}: ` +
      "either they were measured wrongly in the same way, or K and S of the known companion are off by as much.",
    stated.map(({ label }) => label),
  );
}

function tellCompanions({ companions, drawdowns }: CalibrationProblem, add: Add): void {
  const exact = companions.filter(
    ({ scattering, scatteringSigma }, c) =>
      drawdowns.some(({ fractions }) => fractions[c + 1] > 0) &&
      !scatteringSigma?.some((sigma) => sigma > 0) &&
      Math.max(...scattering) > 0.01,
  );
  if (exact.length === 0) return;
  add(
    "hangs-on-companion",
    "note",
    `K and S of ${listOf(exact.map(({ name }) => name))} were taken as exact. The bands tell how well the new paste is known ` +
      "beside it: an error there, say 5 %, carries over to the strength found here in full.",
  );
}

/** Films so thin and strong that the film theory itself is doubtful. */
function tellDoubt({ compiled, estimate, wavelengths }: QualitySource, add: Add): void {
  const { n, problem, used } = compiled;
  if (problem.thicknessUnit !== "µm") return;
  const doubtful: string[] = [];
  let words = "";
  const K = new Float64Array(n);
  const S = new Float64Array(n);
  const film = { K: 0, S: 0 };
  problem.drawdowns.forEach(({ label }, f) => {
    const X = thicknessOf(compiled, estimate, f);
    if (used[f] === 0 || X === Number.POSITIVE_INFINITY) return;
    for (let i = 0; i < n; i++) {
      mixInto(compiled, estimate, i, fractionsOf(compiled, f), film);
      K[i] = film.K;
      S[i] = film.S;
    }
    const text = modelDoubt(K, S, X, wavelengths);
    if (text === undefined) return;
    doubtful.push(label);
    words ||= text;
  });
  if (doubtful.length === 0) return;
  const more = doubtful.length - 3;
  const names = more > 1 ? `${listOf(doubtful.slice(0, 3))} and ${more} more` : listOf(doubtful);
  add("thin-strong-film", "note", `${names}: ${words}`, doubtful);
}

function tellSettled({ curves }: QualitySource, add: Add): void {
  const { status } = curves;
  const relative = (kind: "absorption" | "scattering"): string => {
    const shares = Array.from(curves[kind], (value, i) =>
      status[i] === "both" || status[i] === kind ? curves[`${kind}Sigma`][i] / value : Number.NaN,
    );
    return percent(median(shares.filter(Number.isFinite)));
  };
  add(
    "quality",
    "note",
    "Median standard uncertainty where the panels settle them: " +
      `K ±${relative("absorption")}, S ±${relative("scattering")}.`,
  );
}
