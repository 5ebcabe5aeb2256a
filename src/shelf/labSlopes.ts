import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { lightnessSlope } from "./readingError.ts";

/** Lab of a reflectance, and its slopes (three rows of points). */
export function labSlopesInto(
  R: Float64Array,
  weights: TristimulusWeights,
  Lab: Float64Array,
  out: Float64Array,
): void {
  const points = R.length;
  reflectanceToLab(R, weights, Lab);
  const { x, y, z, white } = weights;
  let X = 0;
  let Y = 0;
  let Z = 0;
  for (let i = 0; i < points; i++) {
    X += R[i] * x[i];
    Y += R[i] * y[i];
    Z += R[i] * z[i];
  }
  const fx = lightnessSlope(X / white[0]) / white[0];
  const fy = lightnessSlope(Y / white[1]) / white[1];
  const fz = lightnessSlope(Z / white[2]) / white[2];
  for (let i = 0; i < points; i++) {
    out[i] = 116 * fy * y[i];
    out[points + i] = 500 * (fx * x[i] - fy * y[i]);
    out[2 * points + i] = 200 * (fy * y[i] - fz * z[i]);
  }
}
