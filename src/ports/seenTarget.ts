import { type EyeConditions, seenFromMeasured } from "../coating/eye.ts";
import { LabToXYZ, XYZToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { InputError } from "../graph/outcome.ts";
import { labelOfIlluminant } from "../tables/illuminants.ts";
import type { SeenTarget, Target } from "./target.ts";
import type { Viewing } from "./viewing.ts";

/** What the eye is given, in the main light or in another one. */
export function eyeConditions(
  viewing: Viewing,
  weights: TristimulusWeights = viewing.weights,
): EyeConditions {
  return { weights, surface: viewing.surface, sheen: viewing.sheen };
}

/**
 * The target as seen under the viewing conditions.
 * A Lab reading is moved to the viewing cell's sheen exactly: surface reflection adds the same share of white everywhere.
 * It is moved to another light only by a curve that was chosen for it, one of many.
 * @throws InputError when a Lab reading was taken under another light or observer than the main one and has no curve
 */
export function seeTarget(target: Target, viewing: Viewing): SeenTarget {
  const conditions = eyeConditions(viewing);
  if (target.kind === "spectrum") {
    return { label: target.label, ...seenFromMeasured(target.reflectance, target.specular, conditions) };
  }
  const { observer, illuminant, white } = viewing.weights;
  if (target.illuminant !== illuminant || target.observer !== observer) {
    if (target.curve) {
      // Lab is all that is known of it, and stays all that is handed on.
      const { XYZ, Lab } = seenFromMeasured(target.curve.reflectance, target.specular, conditions);
      return { label: target.label, reflectance: undefined, XYZ, Lab };
    }
    throw new InputError(
      `The target was read under ${conditionsText(target.illuminant, target.observer)}, ` +
        `but you look under ${conditionsText(illuminant, observer)}`,
      {
        field: "target",
        wayOut:
          "Set the viewing cell to the reading's light and observer, choose a curve for other lights in the target cell, " +
          "or measure a spectrum",
      },
    );
  }
  const XYZ = new Float64Array(3);
  const Lab = new Float64Array(3);
  LabToXYZ(target.Lab, white, XYZ);
  const shift =
    (target.specular === "included" ? viewing.sheen - 1 : viewing.sheen) * viewing.surface.externalReflection;
  for (let i = 0; i < 3; i++) XYZ[i] += shift * white[i];
  if (XYZ.some((value) => value < 0)) {
    throw new InputError("The Lab reading is darker than the surface reflection it is said to include", {
      field: "target",
      wayOut: "Say that the reading excludes the surface reflection, or check the numbers",
    });
  }
  XYZToLab(XYZ, white, Lab);
  return { label: target.label, reflectance: undefined, XYZ, Lab };
}

function conditionsText(illuminant: string, observer: string): string {
  return `${labelOfIlluminant(illuminant)} with the ${observer.endsWith("-2") ? "2°" : "10°"} observer`;
}
