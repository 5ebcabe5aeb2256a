import { factorInPlace } from "../fit/denseAlgebra.ts";
import type { ReferenceCloud } from "./referenceCloud.ts";

/** The region that holds 90 %, as an ellipse in a*b* and a bar in L*: the shadows of one ellipsoid. */
export interface Region {
  readonly Lab: Float64Array;
  /** Points around the ellipse: a*, b* by turns, the first again at the end. */
  readonly outline: Float64Array;
  readonly darkest: number;
  readonly lightest: number;
}

const points = 48;

/** The shadows of the cloud's 90 % ellipsoid on the a*b* plane and on L*. */
export function regionOf({
  Lab: { mean, covariance },
  radius90,
}: Pick<ReferenceCloud, "Lab" | "radius90">): Region {
  const radius = Math.sqrt(radius90);
  const half = radius * Math.sqrt(covariance[0]);
  const factor = Float64Array.of(covariance[4], 0, covariance[7], covariance[8]);
  factorInPlace(factor, 2);
  const outline = new Float64Array(2 * (points + 1));
  for (let k = 0; k <= points; k++) {
    const turn = (2 * Math.PI * k) / points;
    outline[2 * k] = mean[1] + radius * factor[0] * Math.cos(turn);
    outline[2 * k + 1] = mean[2] + radius * (factor[2] * Math.cos(turn) + factor[3] * Math.sin(turn));
  }
  return { Lab: mean, outline, darkest: mean[0] - half, lightest: mean[0] + half };
}
