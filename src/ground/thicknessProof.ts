import { inParts } from "../coating/blend.ts";
import { wholeNumber, within } from "../colour/checks.ts";
import { leastOf } from "../fit/leastOf.ts";
import { type ColourFilms, GroundChain } from "./chain.ts";
import { type FilmBuildRule, filmBuildRule } from "./filmBuildRule.ts";
import { type GroundJob, type GroundPoint, plannedPoint } from "./job.ts";
import { bestNear, flatRegion } from "./ratio.ts";
import { type FilmBuildSpread, usualSpread } from "./spread.ts";
import { createFractions, type FilmFraction } from "./wetFilm.ts";

const colourPanels = 16;
/**
 * A basecoat hides most of what lies under it, so its build matters less; but a mere trace of it matters
 * much.
 */
const basecoatPanels = (sigma: number): number => (sigma > 0.2 ? 6 : 3);

/**
 * Expected difference of each part under an uneven hand: film builds of colour and basecoat vary
 * independently about the plan, each by a normal distribution cut off at zero thickness. Holds its films, so
 * that another ratio costs one basecoat.
 */
export class ExpectedDifference {
  readonly #chain: GroundChain;
  readonly #point: GroundPoint;
  readonly #colourRule: FilmBuildRule;
  readonly #baseRule: FilmBuildRule;
  readonly #colours: readonly ColourFilms[];
  readonly #base: FilmFraction;
  /** Expected difference of each part at the last ratio. */
  readonly expected: Float64Array;
  /** Shares of the two distributions below zero thickness, which were cut off. */
  readonly cutOff: { readonly colour: number; readonly basecoat: number };

  /**
   * @param point what the ratio leaves alone
   * @throws RangeError, TypeError for a job or a spread that cannot be computed
   */
  constructor(job: GroundJob, spread: FilmBuildSpread, point: GroundPoint = plannedPoint(job, 0)) {
    this.#chain = new GroundChain(job);
    this.#point = point;
    this.#colourRule = filmBuildRule(spread.colour, colourPanels);
    this.#baseRule = filmBuildRule(
      job.basecoatWet > 0 ? spread.basecoat : 0,
      basecoatPanels(spread.basecoat),
    );
    const { length } = job.eye.weights.x;
    this.#colours = Array.from(this.#colourRule.builds, (build) => {
      const films = this.#chain.createColour();
      this.#chain.colourInto({ ...point, colourBuild: point.colourBuild * build }, films);
      return films;
    });
    [this.#base] = createFractions(1, length);
    this.expected = new Float64Array(job.substrates.length);
    this.cutOff = { colour: this.#colourRule.cutOff, basecoat: this.#baseRule.cutOff };
  }

  /** Expected difference of the part that fares worst. */
  at(ratio: number): number {
    const { expected } = this;
    const chain = this.#chain;
    expected.fill(0);
    for (let b = 0; b < this.#baseRule.builds.length; b++) {
      chain.baseInto(
        { ...this.#point, ratio, basecoatBuild: this.#point.basecoatBuild * this.#baseRule.builds[b] },
        this.#base,
      );
      for (let k = 0; k < this.#colours.length; k++) {
        chain.compare(this.#colours[k], this.#base);
        const weight = this.#baseRule.weights[b] * this.#colourRule.weights[k];
        for (let part = 0; part < expected.length; part++) expected[part] += weight * chain.differences[part];
      }
    }
    let worst = 0;
    for (let part = 0; part < expected.length; part++) worst = Math.max(worst, expected[part]);
    return worst;
  }
}

/** A ratio, what it gives with the planned films and what it gives on average under an uneven hand. */
interface RatedRatio {
  readonly ratio: number;
  readonly difference: number;
  readonly expected: number;
}

/** The best ratio and the safest. */
export interface RatioChoice {
  readonly ratios: Float64Array;
  /** Difference of the worst part with the planned films. */
  readonly nominal: Float64Array;
  /** Expected difference of the part that fares worst. */
  readonly expected: Float64Array;
  /** Least difference with the planned films. */
  readonly best: RatedRatio;
  /** Ratios around the best between which the difference stays within the margin of it. */
  readonly flat: readonly [number, number];
  /** Least expected difference: the thickness-proof ground. */
  readonly safest: RatedRatio;
  readonly spread: FilmBuildSpread;
  readonly cutOff: { readonly colour: number; readonly basecoat: number };
  /** The choice in words. */
  readonly words: string;
  readonly notes: readonly string[];
}

/**
 * The best ratio, its flat region, and the thickness-proof ratio of a job.
 *
 * @param spread film-build variation, 20 % (1σ) when left out   @param points along the ratio
 * @param margin how far above the best counts as flat   @param point what the ratio leaves alone (coats, loading, …)
 * @throws RangeError, TypeError for a job that cannot be computed, or one with a single base paint
 */
export function chooseRatio(
  job: GroundJob,
  {
    spread = usualSpread,
    points = 51,
    margin = 0.3,
    point = plannedPoint(job, 0),
  }: { spread?: FilmBuildSpread; points?: number; margin?: number; point?: GroundPoint } = {},
): RatioChoice {
  wholeNumber("points", points, 3);
  within("margin", margin, 0, 100);
  if (job.paints.length < 2) throw new RangeError("there is one base paint: a ratio needs two");
  if (job.basecoatWet === 0) throw new RangeError("no basecoat is planned: there is no ratio to choose");
  const chain = new GroundChain(job);
  const nominalAt = (ratio: number): number => chain.at({ ...point, ratio });
  const doubt = new ExpectedDifference(job, spread, point);
  const ratios = Float64Array.from({ length: points }, (_, k) => k / (points - 1));
  const nominal = ratios.map(nominalAt);
  const expected = ratios.map((ratio) => doubt.at(ratio));
  const rated = (ratio: number): RatedRatio => ({
    ratio,
    difference: nominalAt(ratio),
    expected: doubt.at(ratio),
  });
  const fine = Float64Array.from({ length: 201 }, (_, k) => k / 200);
  const best = rated(bestNear(nominalAt, fine, fine.map(nominalAt)).ratio);
  const least = expected.indexOf(Math.min(...expected));
  const safest = rated(
    leastOf(
      (ratio) => doubt.at(ratio),
      ratios[Math.max(0, least - 1)],
      ratios[Math.min(points - 1, least + 1)],
      1e-3,
    ),
  );
  const thin = chain.at({
    ...point,
    ratio: best.ratio,
    colourBuild: point.colourBuild * (1 - spread.colour),
  });
  const thick = chain.at({
    ...point,
    ratio: best.ratio,
    colourBuild: point.colourBuild * (1 + spread.colour),
  });
  const notes: string[] = [];
  for (const [film, share] of [
    ["colour", doubt.cutOff.colour],
    ["basecoat", doubt.cutOff.basecoat],
  ] as const) {
    if (share > 1e-3) {
      notes.push(
        `${(100 * share).toFixed(1)} % of the assumed ${film} builds would be thinner than nothing; they are left out`,
      );
    }
  }
  return {
    ratios,
    nominal,
    expected,
    best,
    flat: flatRegion(nominalAt, best, margin),
    safest,
    spread,
    cutOff: doubt.cutOff,
    words: wordsFor(job, best, safest, thin, thick, spread),
    notes,
  };
}

function wordsFor(
  { paints }: GroundJob,
  best: RatedRatio,
  safest: RatedRatio,
  thin: number,
  thick: number,
  spread: FilmBuildSpread,
): string {
  const [first, second] = paints;
  const d = (value: number) => value.toFixed(2);
  const uneven = `±${Math.round(100 * spread.colour)} % film build`;
  const blend = (ratio: number) => `${inParts(ratio)} (${first.name} to ${second.name})`;
  const onPaper = `With the films as planned the best blend is ${blend(best.ratio)}: difference ${d(best.difference)}.`;
  if (spread.colour === 0 && spread.basecoat === 0) return onPaper;
  if (Math.abs(safest.ratio - best.ratio) < 0.005 || best.expected - safest.expected < 0.005) {
    return `${onPaper} It is also the safest under ${uneven}: ${d(best.expected)} on average.`;
  }
  const more = safest.ratio > best.ratio ? second : first;
  const why =
    Math.abs(thin - thick) < 0.1
      ? "thin and thick places miss by about as much"
      : thin > thick
        ? `a thin place misses by more (${d(thin)}) than a thick one (${d(thick)})`
        : `a thick place misses by more (${d(thick)}) than a thin one (${d(thin)})`;
  return (
    `${onPaper} Under ${uneven} it averages ${d(best.expected)}, for ${why}. ` +
    `Safer is ${blend(safest.ratio)}, with more ${more.name}: ${d(safest.difference)} as planned, ` +
    `${d(safest.expected)} on average.`
  );
}
