import { GroundChain } from "./chain.ts";
import type { GroundJob, GroundPoint } from "./job.ts";
import { createFractions } from "./wetFilm.ts";

/** One setting of a job and the places along it. */
interface GroundAxis {
  readonly setting: Exclude<keyof GroundPoint, "loading">;
  readonly values: ArrayLike<number>;
}

/** Colours of the worst part at many points. */
export interface WorstColours {
  /** Greatest difference over the parts. */
  readonly worst: Float64Array;
  /** Which part that is. */
  readonly worstPart: Uint8Array;
  /** CIELAB and tristimulus values of that part, three numbers for each point. */
  readonly labs: Float64Array;
  readonly XYZs: Float64Array;
}

/** The worst part along one setting. */
export function groundCurve(
  job: GroundJob,
  { setting, values }: GroundAxis,
  fixed: GroundPoint,
): WorstColours {
  const chain = new GroundChain(job);
  const out = worstColours(values.length);
  for (let k = 0; k < values.length; k++) {
    record(chain, chain.at({ ...fixed, [setting]: values[k] }), out, k);
  }
  return out;
}

/** A map over all blends of three base paints. */
export interface GroundTriangle extends WorstColours {
  /** Steps along each side; (steps + 1)(steps + 2)/2 points. */
  readonly steps: number;
  /** Shares of the three paints, three numbers for each point, row by row of the third paint. */
  readonly shares: Float64Array;
  readonly best: number;
}

/** The ratio and third share of a blend of three paints. */
export function ratioOfShares(
  first: number,
  second: number,
  third: number,
): { ratio: number; thirdShare: number } {
  const two = first + second;
  return { ratio: two > 0 ? second / two : 0.5, thirdShare: third / (two + third) };
}

/**
 * The worst part of a job over all blends of its three base paints, evenly spread.
 * @param steps along each side, at least 1; 43 give 990 points
 * @throws RangeError, TypeError for a job that cannot be computed
 */
export function groundTriangle(job: GroundJob, steps: number, fixed: GroundPoint): GroundTriangle {
  if (job.paints.length !== 3) throw new RangeError("a triangle needs three base paints");
  if (!Number.isInteger(steps) || steps < 1) {
    throw new RangeError(`steps = ${steps}: must be a whole number, at least 1`);
  }
  const points = ((steps + 1) * (steps + 2)) / 2;
  const chain = new GroundChain(job);
  const [base] = createFractions(1, job.eye.weights.x.length);
  const colour = chain.createColour();
  chain.colourInto(fixed, colour);
  const shares = new Float64Array(3 * points);
  const out = worstColours(points);
  let k = 0;
  for (let third = 0; third <= steps; third++) {
    for (let second = 0; second <= steps - third; second++) {
      shares[3 * k] = (steps - third - second) / steps;
      shares[3 * k + 1] = second / steps;
      shares[3 * k + 2] = third / steps;
      const { ratio, thirdShare } = ratioOfShares(shares[3 * k], shares[3 * k + 1], shares[3 * k + 2]);
      chain.baseInto({ ...fixed, ratio, thirdShare }, base);
      record(chain, chain.compare(colour, base), out, k++);
    }
  }
  return { steps, shares, ...out, best: leastIndex(out.worst) };
}

function worstColours(points: number): WorstColours {
  return {
    worst: new Float64Array(points),
    worstPart: new Uint8Array(points),
    labs: new Float64Array(3 * points),
    XYZs: new Float64Array(3 * points),
  };
}

function record(chain: GroundChain, worst: number, out: WorstColours, k: number): void {
  const part = chain.worstPart;
  out.worst[k] = worst;
  out.worstPart[k] = part;
  for (let c = 0; c < 3; c++) {
    out.labs[3 * k + c] = chain.labs[3 * part + c];
    out.XYZs[3 * k + c] = chain.XYZs[3 * part + c];
  }
}

function leastIndex(values: Float64Array): number {
  let best = 0;
  for (let k = 1; k < values.length; k++) if (values[k] < values[best]) best = k;
  return best;
}
