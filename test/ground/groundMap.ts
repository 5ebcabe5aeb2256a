import { increasing } from "../../src/colour/checks.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import type { GroundJob, GroundPoint } from "../../src/ground/job.ts";
import type { WorstColours } from "../../src/ground/map.ts";
import { createFractions, type FilmFraction } from "../../src/ground/wetFilm.ts";

// A whole map of a job from films made once and put together at the points, as the page's triangle and curves are.

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
    chain.colourInto(point(i, j), [out]),
  );
  const out = {
    worst: new Float64Array(nx * ny),
    worstPart: new Uint8Array(nx * ny),
    labs: new Float64Array(3 * nx * ny),
    XYZs: new Float64Array(3 * nx * ny),
  };
  for (let j = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++) {
      const k = j * nx + i;
      out.worst[k] = chain.compare([colour(i, j)], base(i, j));
      const part = chain.worstPart;
      out.worstPart[k] = part;
      for (let c = 0; c < 3; c++) {
        out.labs[3 * k + c] = chain.labs[3 * part + c];
        out.XYZs[3 * k + c] = chain.XYZs[3 * part + c];
      }
    }
  }
  return { x, y, ...out, best: out.worst.indexOf(Math.min(...out.worst)) };
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
