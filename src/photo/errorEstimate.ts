import { deltaE2000, deltaEab } from "../colour/difference.ts";
import type { CircleSample } from "./circleSample.ts";
import { type ColourFit, fittedLab } from "./colourFit.ts";
import { pictureWhite } from "./pictureSpace.ts";

/** How far a colour read from a photograph may be off. */
export interface ErrorEstimate {
  /** ΔE00 within which the true colour lies in about 90 % of cases. */
  readonly ninety: number;
  /** Its parts, ΔE00: camera and correction; grain and noise in the circle; unevenness of the light. */
  readonly correction: number;
  readonly sampling: number;
  readonly light: number;
}

/** Whether the known colours are stated for the light that the photograph was taken in. */
export type PhotoLight = "same" | "other";

/**
 * What is known about cameras before a patch has been seen: ΔE00 that nine of ten colours stay below after a plain
 * white balance, rising with chroma. Found by simulation and set a little on the safe side: 60 cameras with random
 * smooth sensitivities and makers' matrices, six lights, measured Munsell chips and mixtures of measured artists'
 * paints; pictures without tone curves or filters. It grows with the distance of the light from daylight, taken as |ln|
 * of the ratio of the blue tristimulus values of the whites, since makers' matrices are made for daylight. "other": the
 * colours are wanted for daylight but the photograph was taken in another light.
 */
const beforehand: Record<PhotoLight, { atGrey: number; perChroma: number; most: number; perLight: number }> =
  {
    same: { atGrey: 1.8, perChroma: 0.11, most: 7.5, perLight: 0.3 },
    other: { atGrey: 3.5, perChroma: 0.2, most: 17, perLight: 0 },
  };
/** 90 % point over root mean square of ΔE00 in the same simulations. */
const ninetyOverRms = 1.5;
/** Distance in CIELAB over which a patch speaks for a colour, and the weight of what is known beforehand. */
const neighbourhood = 30;
const weightBeforehand = 0.3;

/**
 * Honest error of a colour read with a fit: the errors of known patches when each is left out, near ones counting more,
 * mixed with what is known about cameras beforehand where no patch is near; plus noise in the circle and what the model
 * of the light leaves over.
 *
 * @param rgb picture values with the fall-off taken out   @param sample the circle they come from
 * @param lightResidual relative error of the fall-off, 0…1
 */
export function errorEstimate(
  fit: ColourFit,
  rgb: ArrayLike<number>,
  sample: Pick<CircleSample, "spread" | "rgb" | "count">,
  lightResidual: number,
  light: PhotoLight,
): ErrorEstimate {
  const Lab = fittedLab(fit, rgb);
  const correction = correctionError(fit, Lab, light);
  // Independent noise of the channels; neighbouring pixels are alike, so that a quarter of them counts.
  const effective = Math.max(sample.count / 4, 1);
  let sampling = 0;
  for (let c = 0; c < 3; c++) {
    const moved = Float64Array.from(rgb);
    const relative = sample.rgb[c] > 0 ? sample.spread[c] / sample.rgb[c] / Math.sqrt(effective) : 0;
    moved[c] *= 1 + relative;
    sampling += deltaE2000(Lab, fittedLab(fit, moved)) ** 2;
  }
  const brighter = Float64Array.from(rgb, (value) => value * (1 + lightResidual));
  const unevenness = deltaE2000(Lab, fittedLab(fit, brighter));
  const ninety = Math.sqrt(correction ** 2 + 1.6 ** 2 * sampling + unevenness ** 2);
  return { ninety, correction, sampling: 1.6 * Math.sqrt(sampling), light: unevenness };
}

function correctionError(fit: ColourFit, Lab: Float64Array, light: PhotoLight): number {
  const { atGrey, perChroma, most, perLight } = beforehand[light];
  const fromDaylight = Math.abs(Math.log(fit.white[2] / pictureWhite[2]));
  const prior =
    Math.min(atGrey + perChroma * Math.hypot(Lab[1], Lab[2]), most) * (1 + perLight * fromDaylight);
  let weights = weightBeforehand;
  let squares = weightBeforehand * (prior / ninetyOverRms) ** 2;
  for (const residual of fit.residuals) {
    if (residual.deltaEWithout === undefined) continue;
    const weight = Math.exp(-0.5 * (deltaEab(residual.Lab, Lab) / neighbourhood) ** 2);
    weights += weight;
    squares += weight * residual.deltaEWithout ** 2;
  }
  return ninetyOverRms * Math.sqrt(squares / weights);
}
