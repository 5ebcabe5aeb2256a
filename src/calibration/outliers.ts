import { type Compiled, type Estimate, withoutFilms } from "./compiled.ts";
import { type Finding, percent } from "./finding.ts";
import { type Fit, fitEstimate } from "./fit.ts";
import { bestThickness, filmCost, predictWithout } from "./leaveOneOut.ts";
import { countReadings, median } from "./noise.ts";
import type { Objective } from "./normalEquations.ts";

/** A drawdown that contradicts the others, with the cause that would explain it best. */
export interface Outlier {
  readonly film: number;
  readonly label: string;
  readonly cause:
    | "thickness"
    | "specular mode"
    | "grounds exchanged"
    | "labels exchanged"
    | "composition"
    | "unclear";
  /** what is wrong, in words */
  readonly text: string;
}

/** Films that were set aside and the fit to the others. */
interface Cleaned {
  readonly outliers: readonly Outlier[];
  readonly fit: Fit;
}

/** At least this many films must stay. */
const fewestFilms = 3;

/** Root mean square of a film's residuals, in standard deviations of the noise, above which it can be an outlier. */
const badFit = 4;

/** Mean square of all residuals, in variances of the noise, up to which no outlier is looked for. */
const describedWithinNoise = 1.3;

/** Enough steps to see whether a film is in the way. */
const quick = { steps: 12, tolerance: 1e-5 };

/** Removing an outlier must save this many times what removing a usual film saves. */
const standsOut = 6;

/**
 * Finds films that contradict all others: the film is taken out whose removal lowers the objective most, if that is
 * far more than for a usual film and the others then predict it badly; again until none is left (at most a third).
 * Each is then explained by the single mistake that would mend it.
 */
export function setOutliersAside(compiled: Compiled, whole: Fit, objective: Objective): Cleaned {
  const { films } = compiled;
  const out: number[] = [];
  let current = whole;
  const most = Math.min(Math.floor(films / 3), films - fewestFilms);
  // Nothing to look for where the readings are described within their stated noise.
  if (whole.cost < describedWithinNoise * 0.5 * countReadings(compiled)) return { outliers: [], fit: whole };
  for (let left = most; left > 0; left--) {
    const candidates = Array.from({ length: films }, (_, f) => f).filter((f) => !out.includes(f));
    const tries = candidates.map((f) => {
      const prediction = predictWithout(compiled, current.estimate, objective, f, out, quick);
      return { ...prediction, saved: current.cost - prediction.others.cost, size: sizeOf(compiled, f) };
    });
    const best = tries.reduce((a, b) => (b.saved > a.saved ? b : a));
    const usual = median(
      tries.filter((one) => one !== best).map((one) => Math.max(one.saved, 0.5 * one.size)),
    );
    // Huber's loss grows linearly, so that the mean square of a bad film is judged by its own predicted residuals.
    const bad = best.cost > 0.5 * best.size * badFit ** 2 || best.saved > 0.5 * best.size * badFit ** 2;
    const others = candidates.filter(
      (f) => f !== best.film && compiled.fractions[f * compiled.components] > 0,
    );
    if (!bad || best.saved < standsOut * usual || others.length < 2) break;
    out.push(best.film);
    current = fitEstimate(withoutFilms(compiled, out), best.others.estimate, objective);
  }
  const outliers = out.map((film) => explain(compiled, current.estimate, objective, film, out));
  return { outliers, fit: current };
}

/** Number of readings × wavelengths of a film, used or not. */
function sizeOf(compiled: Compiled, f: number): number {
  return countReadings({ ...compiled, used: compiled.used.map((_, g) => (g === f ? 1 : 0)) });
}

interface Hypothesis {
  cause: Outlier["cause"];
  cost: number;
  text: string;
}

/** The simplest mistake that mends a film; long because every hypothesis stands with its cost, one after another. */
function explain(
  compiled: Compiled,
  estimate: Estimate,
  objective: Objective,
  film: number,
  out: readonly number[],
): Outlier {
  const { problem, firstReading, components, fractions, k1, sharedOfFilm } = compiled;
  const drawdown = problem.drawdowns[film];
  const { label, thickness } = drawdown;
  const size = sizeOf(compiled, film);
  const asLabelled = bestThickness(compiled, estimate, objective, film);
  const hypotheses: Hypothesis[] = [];
  const may = (cause: Outlier["cause"], cost: number, text: string) => hypotheses.push({ cause, cost, text });
  if (thickness.kind === "known") {
    const change = asLabelled.freeThickness / thickness.value - 1;
    may(
      "thickness",
      asLabelled.freeCost,
      `it behaves as if it were ${percent(Math.abs(change))} ${change > 0 ? "thicker" : "thinner"} than stated`,
    );
  }
  if (thickness.kind === "opaque") {
    may(
      "thickness",
      bestFiniteCost(compiled, estimate, objective, film),
      "it does not hide, although it is marked as opaque",
    );
  }
  const modes = new Set(drawdown.readings.map(({ specular }) => specular));
  for (const mode of modes) {
    const offset = mode === "included" ? -k1 : k1;
    const other = mode === "included" ? "excluded" : "included";
    const shifted = bestThickness(compiled, estimate, objective, film, { offset });
    may(
      "specular mode",
      shifted.cost,
      `it fits as a reading with the specular part ${other}, but is marked as ${mode}`,
    );
  }
  const own = Array.from(
    { length: firstReading[film + 1] - firstReading[film] },
    (_, q) => compiled.groundOf[firstReading[film] + q],
  );
  const kinds = [...new Set(own)];
  if (kinds.length === 2 && thickness.kind !== "opaque") {
    const exchanged = own.map((g) => (g === kinds[0] ? kinds[1] : kinds[0]));
    may(
      "grounds exchanged",
      bestThickness(compiled, estimate, objective, film, { grounds: exchanged }).cost,
      "its readings over the two grounds were probably exchanged",
    );
  }
  for (let f = 0; f < compiled.films; f++) {
    // Another film's label is a likely mix-up only when that film is in doubt as well.
    if (f === film || !out.includes(f) || sameFractions(compiled, f, film)) continue;
    const swapped = bestThickness(compiled, estimate, objective, film, {
      fractions: fractions.subarray(f * components, (f + 1) * components),
    });
    may(
      "labels exchanged",
      swapped.cost,
      `it fits the composition of ${problem.drawdowns[f].label}: the two labels were probably exchanged`,
    );
  }
  const dose = bestDose(compiled, estimate, objective, film);
  if (dose !== undefined) {
    may(
      "composition",
      dose.cost,
      `it behaves as if it held ${percent(dose.share)} of the paste in its dry film instead of ` +
        `${percent(fractions[film * components])}: wrong label or weighing`,
    );
  }
  // The simplest mistake that mends the film wins; a later one must do clearly better.
  let best: Hypothesis | undefined;
  for (const one of hypotheses) if (best === undefined || one.cost < 0.7 * best.cost) best = one;
  const mends =
    best !== undefined && best.cost < 0.35 * asLabelled.cost && best.cost < size * 0.5 * badFit ** 2;
  if (best === undefined || !mends || (sharedOfFilm[film] < 0 && !Number.isFinite(best.cost))) {
    const text = "no single mistake explains it: another batch, streaks, a soiled card or a wrong file";
    return { film, label, cause: "unclear", text };
  }
  return { film, label, cause: best.cause, text: best.text };
}

function sameFractions({ fractions, components }: Compiled, a: number, b: number): boolean {
  for (let j = 0; j < components; j++) {
    if (Math.abs(fractions[a * components + j] - fractions[b * components + j]) > 1e-9) return false;
  }
  return true;
}

function bestFiniteCost(compiled: Compiled, estimate: Estimate, objective: Objective, film: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k <= 40; k++) {
    const X = 2 * 1.15 ** k;
    least = Math.min(least, filmCost(compiled, estimate, objective, film, {}, X));
  }
  return least;
}

/** The share of paste that suits the film best, the companions keeping their proportions. */
function bestDose(
  compiled: Compiled,
  estimate: Estimate,
  objective: Objective,
  film: number,
): { share: number; cost: number } | undefined {
  const { components, fractions } = compiled;
  const own = fractions.subarray(film * components, (film + 1) * components);
  const rest = 1 - own[0];
  if (rest <= 0) return undefined;
  const costOf = (share: number): number => {
    const trial = own.map((value, j) => (j === 0 ? share : (value * (1 - share)) / rest));
    return bestThickness(compiled, estimate, objective, film, { fractions: trial }).cost;
  };
  let best = own[0];
  let least = Number.POSITIVE_INFINITY;
  const start = Math.max(own[0], 1e-3);
  const look = (share: number): void => {
    if (share > 1) return;
    const cost = costOf(share);
    if (cost < least) {
      least = cost;
      best = share;
    }
  };
  for (let k = -10; k <= 10; k++) look(start * 1.35 ** k);
  for (let halving = 0; halving < 6; halving++) {
    const width = 1 + 0.16 / 2 ** halving;
    look(best * width);
    look(best / width);
  }
  return { share: best, cost: least };
}

/** The outliers as findings for the person at the bench. */
export function outlierFindings(outliers: readonly Outlier[]): Finding[] {
  return outliers.map(({ label, cause, text }) => ({
    code: "outlier",
    severity: "caution",
    text: `${label} contradicts the other drawdowns and is set aside; likely cause (${cause}): ${text}.`,
    drawdowns: [label],
  }));
}
