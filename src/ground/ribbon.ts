import { wholeNumber } from "../colour/checks.ts";
import { range90 } from "../fit/quantiles.ts";
import { seededRandom } from "../fit/seededRandom.ts";
import { GroundChain } from "./chain.ts";
import type { GroundJob, GroundPoint } from "./job.ts";
import { JobDraws } from "./jobDraws.ts";
import { checkSpread, type JobSpread } from "./spread.ts";
import { createFractions } from "./wetFilm.ts";

/** Curves of the worst part along a setting, with the range that doubt gives them. */
export interface RibbonRequest {
  readonly job: GroundJob;
  readonly point: GroundPoint;
  readonly spread: JobSpread;
  /** The ratio, or the number of colour coats. */
  readonly setting: "ratio" | "coats";
  readonly values: ArrayLike<number>;
  readonly samples: number;
  readonly seed: number;
}

export interface Ribbon {
  readonly setting: "ratio" | "coats";
  readonly values: Float64Array;
  readonly median: Float64Array;
  /** 5 % and 95 % points. */
  readonly low: Float64Array;
  readonly high: Float64Array;
}

/**
 * Median and 90 % range of the worst part's difference along the ratio or the coats. All values of the
 * setting are looked at with the same draws, so that the edges of the ribbon are as smooth as the curve.
 * @throws RangeError, TypeError for a job, a point or a spread that cannot be computed
 */
export function uncertaintyRibbon({
  job,
  point,
  spread,
  setting,
  values,
  samples,
  seed,
}: RibbonRequest): Ribbon {
  checkSpread(spread);
  wholeNumber("samples", samples, 2);
  const draws = new JobDraws(job, spread);
  const chain = new GroundChain(job, draws);
  const draw = draws.create();
  const random = seededRandom(seed);
  const [base] = createFractions(1, job.eye.weights.x.length);
  const colour = chain.createColour();
  const points = Array.from(values, (value): GroundPoint => ({ ...point, [setting]: value }));
  const all = points.map(() => new Float64Array(samples));
  for (let k = 0; k < samples; k++) {
    draws.drawInto(random, draw);
    // The film that the setting leaves alone is laid once.
    if (setting === "ratio") chain.colourInto(point, colour, draw);
    else chain.baseInto(point, base, draw);
    for (let v = 0; v < points.length; v++) {
      if (setting === "ratio") chain.baseInto(points[v], base, draw);
      else chain.colourInto(points[v], colour, draw);
      all[v][k] = chain.compare(colour, base);
    }
  }
  const ranges = all.map((differences) => range90(differences.sort()));
  return {
    setting,
    values: Float64Array.from(values),
    median: Float64Array.from(ranges, ({ median }) => median),
    low: Float64Array.from(ranges, ({ low }) => low),
    high: Float64Array.from(ranges, ({ high }) => high),
  };
}
