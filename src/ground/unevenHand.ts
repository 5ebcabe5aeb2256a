import type { GroundJob, GroundPoint } from "./job.ts";
import { groundCurve } from "./map.ts";
import type { FilmBuildSpread } from "./spread.ts";
import { chooseRatio, ExpectedDifference, type RatioChoice } from "./thicknessProof.ts";

/** What a job gives as planned and on average under an uneven hand. Plain data, so that it can be sent to a worker. */
export interface UnevenHandRequest {
  readonly job: GroundJob;
  readonly point: GroundPoint;
  readonly spread: FilmBuildSpread;
  /** What the curve runs over, and the places along it. */
  readonly setting: "ratio" | "coats";
  readonly values: ArrayLike<number>;
}

export interface UnevenHand {
  /** Best and safest ratio with the planned coats. */
  readonly choice: RatioChoice;
  /** Difference of the worst part as planned, and on average for the part that fares worst. */
  readonly nominal: Float64Array;
  readonly expected: Float64Array;
}

/**
 * Best and safest ratio, and the curves along the ratio or the coats.
 * @throws RangeError, TypeError for a job or a spread that cannot be computed
 */
export function unevenHand({ job, point, spread, setting, values }: UnevenHandRequest): UnevenHand {
  const choice = chooseRatio(job, { spread, point });
  const { worst: nominal } = groundCurve(job, { setting, values }, point);
  const alongRatio = setting === "ratio" ? new ExpectedDifference(job, spread, point) : undefined;
  const expected = Float64Array.from(values, (value) =>
    (alongRatio ?? new ExpectedDifference(job, spread, { ...point, coats: value })).at(
      alongRatio ? value : point.ratio,
    ),
  );
  return { choice, nominal, expected };
}
