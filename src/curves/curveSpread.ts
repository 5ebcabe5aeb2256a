import { wholeNumber } from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { ObserverName } from "../colour/observer.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { quantiles } from "../fit/quantiles.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";
import { type CurveFromLab, curveNearest, smoothestCurve } from "./smoothestCurve.ts";

/** How far apart surfaces of one Lab may lie in another light. */
export interface LightSpread {
  readonly illuminant: string;
  readonly observer: ObserverName;
  /** Lab of the chosen curve (as a rule the smoothest) in this light. */
  readonly Lab: Float64Array;
  /** ΔE00 of the other curves to it in this light: half of them lie within `median`, 90 % within `ninety`. */
  readonly median: number;
  readonly ninety: number;
  readonly largest: number;
}

interface CurveSpread {
  readonly smoothest: CurveFromLab;
  /** Other curves with the same Lab, as wavy as surface colours usually are. */
  readonly others: readonly Float64Array[];
  readonly lights: readonly LightSpread[];
}

/**
 * How wavy surface colours are: root mean square of the steps of ln(R / (1 − R)) per 10 nm, and the distance, nm, over
 * which one step resembles the next (standard deviation of a Gaussian correlation). Estimated from the measured Munsell
 * chips of D. Nickerson (0.12; 30 nm) and set somewhat higher, since pigments of high chroma have steeper edges.
 */
const usualStep = 0.14;
const correlationLength = 30;

/**
 * Curves with one Lab: each is as near as can be to a randomly drawn wavy curve while having the Lab exactly.
 *
 * @param weights light and observer under which the Lab was stated
 * @param count number of curves   @param seed whole number; the same seed gives the same curves
 */
export function curvesWithLab(
  Lab: ArrayLike<number>,
  weights: TristimulusWeights,
  count: number,
  seed: number,
): Float64Array[] {
  wholeNumber("count", count, 1);
  const random = seededRandom(seed);
  const draw = (): number => normal(random);
  const curves: Float64Array[] = [];
  for (let k = 0; k < count; k++) {
    const curve = curveNearest(Lab, weights, wavySteps(weights, draw));
    // A drawn curve that leads nowhere is no reason to stop: at the rim of what surfaces can be there are few.
    if (curve.status === "converged") curves.push(curve.reflectance);
  }
  return curves;
}

/**
 * How much a Lab leaves open: the difference, in other lights, between the smoothest curve with this Lab and other
 * curves with it that are as wavy as surface colours usually are.
 *
 * @param others weights of the other lights, on the same grid   @param count curves drawn   @param seed whole number
 * @throws TypeError, RangeError as smoothestCurve
 */
export function curveSpread(
  Lab: ArrayLike<number>,
  weights: TristimulusWeights,
  others: readonly TristimulusWeights[],
  count = 64,
  seed = 1,
): CurveSpread {
  const smoothest = smoothestCurve(Lab, weights);
  const curves = smoothest.status === "converged" ? curvesWithLab(Lab, weights, count, seed) : [];
  return { smoothest, others: curves, lights: spreadAbout(smoothest.reflectance, curves, others) };
}

/**
 * How far curves lie from one curve in other lights.
 *
 * @param curve reflectance on the grid of the weights   @param curves others with the same Lab
 */
export function spreadAbout(
  curve: ArrayLike<number>,
  curves: readonly ArrayLike<number>[],
  lights: readonly TristimulusWeights[],
): LightSpread[] {
  return lights.map((other): LightSpread => {
    const own = reflectanceToLab(curve, other, new Float64Array(3));
    const there = new Float64Array(3);
    const differences = Float64Array.from(curves, (another) =>
      deltaE2000(own, reflectanceToLab(another, other, there)),
    ).sort();
    const [median, ninety, largest] = curves.length > 0 ? quantiles(differences, [0.5, 0.9, 1]) : [0, 0, 0];
    return {
      illuminant: other.illuminant,
      observer: other.observer,
      ...{ Lab: own, median, ninety, largest },
    };
  });
}

/** Correlated random steps of ln(R / (1 − R)): independent draws under a Gaussian window. */
function wavySteps(weights: TristimulusWeights, draw: () => number): Float64Array {
  const { step } = weights.grid;
  const length = weights.x.length - 1;
  // A window of this width makes a correlation of the stated width (they differ by √2).
  const width = correlationLength / Math.SQRT2 / step;
  const reach = Math.ceil(4 * width);
  const draws = Float64Array.from({ length: length + 2 * reach }, draw);
  let power = 0;
  const window = Float64Array.from({ length: 2 * reach + 1 }, (_, k) => {
    const height = Math.exp(-0.5 * ((k - reach) / width) ** 2);
    power += height * height;
    return height;
  });
  const scale = (usualStep * step) / 10 / Math.sqrt(power);
  return Float64Array.from({ length }, (_, i) => {
    let sum = 0;
    for (let k = 0; k < window.length; k++) sum += window[k] * draws[i + k];
    return scale * sum;
  });
}
