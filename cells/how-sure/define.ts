import type { ComputeContext } from "../../src/graph/defineCell.ts";
import { defineCell } from "../../src/graph/defineCell.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { type GroundCoverage, groundJobOf, groundPointOf, withGround } from "../../src/ports/groundJob.ts";
import { LastAnswers } from "../../src/ports/lastAnswers.ts";
import { difference, share } from "../../src/ports/quantities.ts";
import { signatureOf } from "../../src/ports/signature.ts";
import type { ExactCurve, ExactOpinion } from "../../src/solve/ground/exactOpinion.ts";
import type { Ribbon, RibbonRequest } from "../../src/solve/ground/ribbon.ts";
import type { JobSpread } from "../../src/solve/ground/spread.ts";
import type { RatioChoice } from "../../src/solve/ground/thicknessProof.ts";
import type { Uncertainty, UncertaintyRequest } from "../../src/solve/ground/uncertainty.ts";
import type { UnevenHand, UnevenHandRequest } from "../../src/solve/unevenHand.ts";
import { type BareSpots, bareSpotsOf } from "./defineBareSpots.ts";
import { type Opinion, opinionSchema, type Played, playedSchema } from "./defineKept.ts";

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

const percent = (label: string, initial: number, help: string, max = 60) =>
  ({ type: "number", label, unit: "%", min: 0, max, step: 1, initial, help }) as const;

const parameters = {
  along: {
    type: "choice",
    label: "Show the curve along",
    options: [
      { value: "ratio", label: "the basecoat ratio" },
      { value: "coats", label: "the number of colour coats" },
    ],
    initial: "ratio" as "ratio" | "coats",
  },
  colourBuild: percent(
    "Film build of the colour varies by ±",
    20,
    "One place in three is further off than this (1σ). Common practice.",
  ),
  basecoatBuild: percent("Film build of the basecoat varies by ±", 20, "1σ, as above."),
  ratioError: percent("The blend is poured to ±", 2, "1σ, of the whole blend.", 20),
  doseStep: {
    type: "number",
    label: "Smallest step of a dose",
    unit: "mL",
    help: "A drop is about 0.05 mL. Doses err evenly by up to half a step; 0 leaves them exact.",
    min: 0,
    max: 10,
    step: 0.01,
    digits: 3,
    initial: 0.05,
  },
  batch: {
    type: "number",
    label: "Colour mixed at once",
    unit: "mL",
    min: 1,
    max: 100_000,
    step: 50,
    initial: 200,
  },
  bands: {
    type: "toggle",
    label: "Let K and S vary within their own bands",
    help: "Calibrated pastes carry a band; invented and imported ones often do not.",
    initial: true,
  },
  assumedBand: percent(
    "K and S without a band of their own vary by ±",
    0,
    "0 takes them as exact, and says so.",
    100,
  ),
  cases: {
    type: "number",
    label: "Jobs to play out",
    whole: true,
    help: "10,000 take well under a second; more make the shares more exact.",
    min: 1000,
    max: 1_000_000,
    step: 1000,
    initial: 10_000,
  },
  played: {
    type: "value",
    label: "Jobs played out",
    schema: playedSchema,
    initial: null as Played | null,
  },
  opinion: {
    type: "value",
    label: "Second opinion",
    schema: opinionSchema,
    initial: null as Opinion | null,
  },
} as const;

type Settings = ParameterValues<typeof parameters>;

const answers = new LastAnswers<{ hand: UnevenHand; ribbon: Ribbon }>();

export const howSure = defineCell<{ coverage: Coverage }>()({
  kind: "how-sure",
  label: "How sure are we?",
  about:
    "Nobody sprays every µm as planned: the best basecoat ratio beside the safest one, as ΔE on average under an uneven hand. " +
    "Plays out many jobs with small errors and tells which error matters most, and what a spot without basecoat looks like.",
  source:
    "Expected ΔE by Gauss's rule over the film build; Monte Carlo with first-order Sobol indices; adding-doubling for the " +
    "second opinion (van de Hulst 1980)",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  output: "how-sure",
  parameters,
  compute: ({ coverage: given }, p, context): HowSure | Promise<HowSure> => {
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
  },
  actions: {
    play: {
      label: "Play out many jobs",
      run: async ({ coverage: given }, p, context) => ({ played: await play(given, p, context) }),
    },
    second: {
      label: "Ask for a second opinion",
      run: async ({ coverage: given }, _, context) => ({ opinion: await secondOpinion(given, context) }),
    },
  },
  view: () => import("./view.ts"),
  summarise: ({ choice, along, values, nominal, expected, ribbon, bareSpots }) => ({
    best: choice.best,
    safest: choice.safest,
    words: choice.words,
    along,
    curve: [...values].map((value, k) => [
      value,
      nominal[k],
      expected[k],
      ribbon.low[k],
      ribbon.median[k],
      ribbon.high[k],
    ]),
    bareSpots: bareSpots.spots.map(({ name, besideRest, toTarget }) => ({ name, besideRest, toTarget })),
    leastBasecoat: bareSpots.leastBuild ?? null,
  }),
  quantities: ({ choice: { best, safest }, coverage, bareSpots }) => {
    const { formula } = coverage.viewing;
    const second = coverage.basecoat.paints[1].name;
    return [
      share("best-ratio", `share of ${second} that is best as planned`, best.ratio, 0),
      difference("best-difference", `${formula} with it, as planned`, best.difference),
      difference("best-expected", `${formula} with it, on average under an uneven hand`, best.expected),
      share("safest-ratio", `share of ${second} that is safest`, safest.ratio, 0),
      difference("safest-difference", `${formula} with that, as planned`, safest.difference),
      difference("safest-expected", `${formula} with that, on average under an uneven hand`, safest.expected),
      difference(
        "bare-spot",
        "ΔE00 of the spot without basecoat that shows most",
        bareSpots.spots[bareSpots.worst].besideRest,
      ),
      {
        ...share("least-basecoat", "share of the planned basecoat that still does", bareSpots.leastBuild, 0),
        none: "none: it does not pass as planned",
      },
    ];
  },
});

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
  const [first, second] = await Promise.all([
    run<UnevenHand>("uneven-hand", hand),
    run<Ribbon>("ground-uncertainty-ribbon", ribbon),
  ]);
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

async function play(given: Coverage | undefined, p: Settings, context: ComputeContext): Promise<Played> {
  const coverage = withGround(given as Coverage);
  const request = playRequest(coverage, p);
  const { worst, parts, shares, sorted, samples, notes } = await context.run<Uncertainty>(
    "ground-uncertainty",
    request,
  );
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

async function secondOpinion(given: Coverage | undefined, context: ComputeContext): Promise<Opinion> {
  const coverage = withGround(given as Coverage);
  const job = groundJobOf(coverage);
  const point = groundPointOf(coverage, job);
  const ratios = Float64Array.from({ length: opinionPlaces }, (_, k) => k / (opinionPlaces - 1));
  const [curve, opinion] = await Promise.all([
    context.run<ExactCurve>("exact-curve", { job, point, ratios }),
    context.run<ExactOpinion>("exact-opinion", { job, point }),
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
