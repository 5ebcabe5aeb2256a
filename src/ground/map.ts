import { increasing } from "../colour/checks.ts";
import { GroundChain } from "./chain.ts";
import type { GroundJob, GroundPoint } from "./job.ts";
import { createFractions, type FilmFraction } from "./wetFilm.ts";

/** What an axis of a map moves. "build" moves the film build of basecoat and colour together. */
export type GroundSetting =
  | "ratio"
  | "thirdShare"
  | "coats"
  | "loading"
  | "build"
  | "colourBuild"
  | "basecoatBuild";

export interface MapAxis {
  readonly setting: GroundSetting;
  /** Rising. */
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

/** A map of a job over two settings; point (i, j) at j·x.values.length + i. */
export interface GroundMap extends WorstColours {
  readonly x: MapAxis;
  readonly y: MapAxis;
  /** Index of the point with the least difference. */
  readonly best: number;
}

const movesBase: Record<GroundSetting, boolean> = {
  ratio: true,
  thirdShare: true,
  coats: false,
  loading: false,
  build: true,
  colourBuild: false,
  basecoatBuild: true,
};

const movesColour: Record<GroundSetting, boolean> = {
  ratio: false,
  thirdShare: false,
  coats: true,
  loading: true,
  build: true,
  colourBuild: true,
  basecoatBuild: false,
};

function moved(point: GroundPoint, setting: GroundSetting, value: number): GroundPoint {
  return setting === "build"
    ? { ...point, colourBuild: value, basecoatBuild: value }
    : { ...point, [setting]: value };
}

/**
 * The worst part of a job over two of its settings.
 *
 * Films are made once for each state that an axis can bring them into and put together at the points: a map
 * of ratio against coats needs one film for each ratio and one for each number of coats.
 *
 * @param fixed the settings that the axes leave alone
 * @throws RangeError, TypeError for a job or an axis that cannot be computed
 */
export function groundMap(job: GroundJob, x: MapAxis, y: MapAxis, fixed: GroundPoint): GroundMap {
  if (x.setting === y.setting) throw new RangeError(`both axes move ${x.setting}: two settings are needed`);
  for (const { setting, values } of [x, y]) {
    if (values.length === 0) throw new RangeError(`the axis of ${setting} has no values`);
    increasing(setting, values);
  }
  const chain = new GroundChain(job);
  const [nx, ny] = [x.values.length, y.values.length];
  const point = (i: number, j: number): GroundPoint =>
    moved(moved(fixed, x.setting, x.values[i]), y.setting, y.values[j]);
  const base = filmTable(job, nx, ny, movesBase[x.setting], movesBase[y.setting], (i, j, out) =>
    chain.baseInto(point(i, j), out),
  );
  const colour = filmTable(job, nx, ny, movesColour[x.setting], movesColour[y.setting], (i, j, out) =>
    chain.colourInto(point(i, j), out),
  );
  const out = worstColours(nx * ny);
  for (let j = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++) record(chain, chain.compare(colour(i, j), base(i, j)), out, j * nx + i);
  }
  return { x, y, ...out, best: leastIndex(out.worst) };
}

/** The worst part along one setting. */
export function groundCurve(job: GroundJob, axis: MapAxis, fixed: GroundPoint): WorstColours {
  const chain = new GroundChain(job);
  const out = worstColours(axis.values.length);
  for (let k = 0; k < axis.values.length; k++) {
    record(chain, chain.at(moved(fixed, axis.setting, axis.values[k])), out, k);
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
  const [base, colour] = createFractions(2, job.eye.weights.x.length);
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

/** Coats that do, for each value of a map's first axis; NaN where none does. */
export interface CoatsWithin {
  /** The fewest. */
  readonly fewest: Float64Array;
  /** Up to how many, one after another: a translucent colour goes on past its target. */
  readonly most: Float64Array;
}

/**
 * Coats with which the difference is within the tolerance, at each value of the first axis of a map whose
 * second axis is coats.
 * @throws RangeError when it is not
 */
export function coatsThatDo({ x, y, worst }: GroundMap, tolerance: number): CoatsWithin {
  if (y.setting !== "coats") throw new RangeError(`the map's second axis is ${y.setting}: coats are needed`);
  const nx = x.values.length;
  const fewest = new Float64Array(nx).fill(Number.NaN);
  const most = new Float64Array(nx).fill(Number.NaN);
  for (let i = 0; i < nx; i++) {
    for (let j = 0; j < y.values.length; j++) {
      const does = worst[j * nx + i] <= tolerance;
      if (does && Number.isNaN(fewest[i])) fewest[i] = y.values[j];
      if (does) most[i] = y.values[j];
      else if (!Number.isNaN(fewest[i])) break;
    }
  }
  return { fewest, most };
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

/** Films for every state that the axes bring about, looked up by point. */
function filmTable(
  job: GroundJob,
  nx: number,
  ny: number,
  alongX: boolean,
  alongY: boolean,
  make: (i: number, j: number, out: FilmFraction) => void,
): (i: number, j: number) => FilmFraction {
  const [mx, my] = [alongX ? nx : 1, alongY ? ny : 1];
  const films = createFractions(mx * my, job.eye.weights.x.length);
  for (let j = 0; j < my; j++) for (let i = 0; i < mx; i++) make(i, j, films[j * mx + i]);
  return (i, j) => films[(alongY ? j : 0) * mx + (alongX ? i : 0)];
}
