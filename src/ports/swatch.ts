import { displayColour } from "../colour/display.ts";
import { LabToXYZ } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import type { Viewing } from "./viewing.ts";

/** Screen colour of tristimulus values under the light of a viewing cell, for the swatch of a verdict. */
export function swatchOf(
  XYZ: ArrayLike<number>,
  { weights, gamut }: Pick<Viewing, "weights" | "gamut">,
): string {
  return displayColour(XYZ, weights.white, gamut).css;
}

/** Screen colour of a CIELAB reading; sRGB, where no viewing cell says otherwise. */
export function swatchOfLab(Lab: ArrayLike<number>, weights: TristimulusWeights): string {
  const XYZ = LabToXYZ(Lab, weights.white, new Float64Array(3));
  return displayColour(XYZ, weights.white, "srgb").css;
}
