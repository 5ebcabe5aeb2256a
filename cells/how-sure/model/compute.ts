import type { ComputeContext } from "../../../src/graph/defineCell.ts";
import { LastAnswers } from "../../../src/graph/lastAnswers.ts";
import { signatureOf } from "../../../src/graph/signature.ts";
import {
  exactCurveTask,
  exactOpinionTask,
  ribbonTask,
  uncertaintyTask,
  unevenHandTask,
} from "../../../src/ground/longTasks.ts";
import type { Ribbon, RibbonRequest } from "../../../src/ground/ribbon.ts";
import type { JobSpread } from "../../../src/ground/spread.ts";
import type { RatioChoice } from "../../../src/ground/thicknessProof.ts";
import type { UncertaintyRequest } from "../../../src/ground/uncertainty.ts";
import type { UnevenHand, UnevenHandRequest } from "../../../src/ground/unevenHand.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { type GroundCoverage, groundJobOf, groundPointOf, withGround } from "../../../src/ports/groundJob.ts";
import { type BareSpots, bareSpotsOf } from "./bareSpots.ts";
import type { Opinion, Played } from "./kept.ts";
import type { Settings } from "./parameters.ts";

/** The best and the safest ground, and what an uneven hand does to either. */
export interface HowSure {
  readonly coverage: GroundCoverage;
  readonly choice: RatioChoice;
  readonly along: "ratio" | "coats";
  readonly values: Float64Array;
  /** Difference of the worst part as planned and on average, and the range that holds 90 % of the cases. */
  readonly nominal: Float64Array;
  readonly expected: Float64Array;
  readonly ribbon: Ribbon;
  /** Where the notebook stands on the curve: the ratio or the number of coats. */
  readonly current: number;
  readonly bareSpots: BareSpots;
  /** True when a kept answer no longer fits the question. */
  readonly playedIsStale: boolean;
  readonly opinionIsStale: boolean;
}

/** Draws behind the edges of the ribbon, all places with the same ones. */
const ribbonDraws = 1000;
const ratioPlaces = 41;
const opinionPlaces = 21;
/** A gesture must rest this long before the work begins again, ms. */
const pauseMs = 120;
const seed = 1;

const answers = new LastAnswers<{ hand: UnevenHand; ribbon: Ribbon }>();

/** Curves, choice and bare spots; sync when only the ratio has moved. */
export function compute(
  { coverage: given }: { coverage: Coverage },
  p: Settings,
  context: ComputeContext,
): HowSure | Promise<HowSure> {
  const coverage = withGround(given);
  const question = questionOf(coverage, p);
  const signature = signatureOf(question);
  const finish = ({ hand, ribbon }: { hand: UnevenHand; ribbon: Ribbon }): HowSure => {
    for (const note of hand.choice.notes) context.note(note);
    return {
      coverage,
      choice: hand.choice,
      along: p.along,
      values: Float64Array.from(question.hand.values),
      nominal: hand.nominal,
      expected: hand.expected,
      ribbon,
      current: p.along === "ratio" ? coverage.basecoat.ratio : coverage.colourCoats.coats.length,
      bareSpots: bareSpotsOf(coverage),
      playedIsStale: p.played !== null && p.played.signature !== signatureOf(playRequest(coverage, p)),
      opinionIsStale: p.opinion !== null && p.opinion.signature !== signatureOf(groundJobOf(coverage)),
    };
  };
  const known = answers.get(context.id, signature);
  return known
    ? finish(known)
    : ask(question, context).then((answer) => finish(answers.keep(context.id, signature, answer)));
}

function spreadOf(p: Settings): JobSpread {
  return {
    filmBuild: { colour: p.colourBuild / 100, basecoat: p.basecoatBuild / 100 },
    ratio: p.ratioError / 100,
    doseStep: p.doseStep,
    batch: p.batch,
    coefficientBands: p.bands ? 1 : 0,
    assumedBand: p.assumedBand / 100,
  };
}

/** What the curves answer. The ratio itself is left out of it where the curves run along the ratio. */
function questionOf(
  coverage: GroundCoverage,
  p: Settings,
): { hand: UnevenHandRequest; ribbon: RibbonRequest } {
  const job = groundJobOf(coverage);
  const here = groundPointOf(coverage, job);
  const point = p.along === "ratio" ? { ...here, ratio: 0 } : here;
  const coats = Math.max(coverage.colourCoats.coats.length, coverage.dryThicknesses.length);
  const values =
    p.along === "ratio"
      ? Float64Array.from({ length: ratioPlaces }, (_, k) => k / (ratioPlaces - 1))
      : Float64Array.from({ length: coats }, (_, k) => k + 1);
  const spread = spreadOf(p);
  const common = { job, point, setting: p.along, values };
  return {
    hand: { ...common, spread: spread.filmBuild },
    ribbon: { ...common, spread, samples: ribbonDraws, seed },
  };
}

async function ask(
  { hand, ribbon }: { hand: UnevenHandRequest; ribbon: RibbonRequest },
  { id, signal, run, progress }: ComputeContext,
): Promise<{ hand: UnevenHand; ribbon: Ribbon }> {
  progress(0, "trying an uneven hand");
  if (answers.knows(id)) {
    await new Promise((resolve) => setTimeout(resolve, pauseMs));
    signal.throwIfAborted();
  }
  const [first, second] = await Promise.all([run(unevenHandTask, hand), run(ribbonTask, ribbon)]);
  return { hand: first, ribbon: second };
}

function playRequest(coverage: GroundCoverage, p: Settings): UncertaintyRequest & { tolerance: number } {
  const job = groundJobOf(coverage);
  return {
    job,
    point: groundPointOf(coverage, job),
    spread: spreadOf(p),
    samples: p.cases,
    seed,
    tolerance: coverage.viewing.tolerance,
  };
}

/** Many jobs with their small errors, in the form kept in the notebook. */
export async function play(
  given: Coverage | undefined,
  p: Settings,
  context: ComputeContext,
): Promise<Played> {
  const coverage = withGround(given as Coverage);
  const request = playRequest(coverage, p);
  const { worst, parts, shares, sorted, samples, notes } = await context.run(uncertaintyTask, request);
  const { tolerance } = request;
  return {
    signature: signatureOf(request),
    cases: samples,
    ratio: coverage.basecoat.ratio,
    tolerance,
    pass: sorted.filter((value) => value <= tolerance).length / samples,
    worst: rounded(worst),
    parts: parts.map((range, index) => ({ name: coverage.parts[index].substrate.name, ...rounded(range) })),
    shares: shares.map(({ source, share, standardError, total }) => ({
      source,
      share: round(share),
      standardError: round(standardError),
      total: round(total),
    })),
    notes: [...notes],
  };
}

/** Both theories along the ratio and in words at the present one, in the form kept in the notebook. */
export async function secondOpinion(given: Coverage | undefined, context: ComputeContext): Promise<Opinion> {
  const coverage = withGround(given as Coverage);
  const job = groundJobOf(coverage);
  const point = groundPointOf(coverage, job);
  const ratios = Float64Array.from({ length: opinionPlaces }, (_, k) => k / (opinionPlaces - 1));
  const [curve, opinion] = await Promise.all([
    context.run(exactCurveTask, { job, point, ratios }),
    context.run(exactOpinionTask, { job, point }),
  ]);
  return {
    signature: signatureOf(job),
    ratios: [...curve.ratios],
    twoFlux: [...curve.twoFlux].map(round),
    exact: [...curve.exact].map(round),
    ratio: point.ratio,
    apart: round(opinion.apart),
    words: opinion.words,
  };
}

const round = (value: number): number => Math.round(value * 1e4) / 1e4;
const rounded = ({ median, low, high }: { median: number; low: number; high: number }) => ({
  median: round(median),
  low: round(low),
  high: round(high),
});
