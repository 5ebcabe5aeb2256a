import { XYZToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { reflectanceToXYZ } from "../colour/XYZ.ts";
import { type SurfaceConstants, seenReflectanceInto } from "../optics/interface.ts";

/** A colour as seen: reflectance (specular excluded plus sheen, 0…1), tristimulus values (Y = 100 scale) and CIELAB. */
export interface Seen {
  readonly reflectance: Float64Array;
  readonly XYZ: Float64Array;
  readonly Lab: Float64Array;
}

/** What turns a film's internal reflectance into a colour: a light and observer, the surface, and the sheen. */
export interface EyeConditions {
  readonly weights: TristimulusWeights;
  readonly surface: SurfaceConstants;
  /** Share of the surface reflection that reaches the eye, 0…1. */
  readonly sheen: number;
}

/** Looks at films under fixed conditions; holds its own work space, so that looking allocates nothing. */
export class Eye {
  readonly conditions: EyeConditions;
  readonly #seen: Float64Array;
  readonly #XYZ = new Float64Array(3);

  constructor(conditions: EyeConditions) {
    this.conditions = conditions;
    this.#seen = new Float64Array(conditions.weights.x.length);
  }

  /** CIELAB of a film from its internal reflectance (working grid), written to `Lab` (3). */
  labOfInternal(internal: Float64Array, Lab: Float64Array): void {
    const { weights, surface, sheen } = this.conditions;
    seenReflectanceInto(internal, surface.externalReflection, surface.internalReflection, sheen, this.#seen);
    reflectanceToXYZ(this.#seen, weights, this.#XYZ);
    XYZToLab(this.#XYZ, weights.white, Lab);
  }

  /** Tristimulus values of what was looked at last, written to `XYZ` (3). */
  lastXYZ(XYZ: Float64Array): void {
    XYZ.set(this.#XYZ);
  }

  /** Everything about a film's colour, in fresh arrays. */
  see(internal: Float64Array): Seen {
    const Lab = new Float64Array(3);
    this.labOfInternal(internal, Lab);
    return { reflectance: this.#seen.slice(), XYZ: this.#XYZ.slice(), Lab };
  }
}

/**
 * Seen colour of a reflectance measured from outside.
 * @param measured reflectance on the working grid
 * @param specular whether the surface reflection is included in it
 * Included readings lose (1 − sheen)·k1, excluded ones gain sheen·k1.
 */
export function seenFromMeasured(
  measured: Float64Array,
  specular: "included" | "excluded",
  conditions: EyeConditions,
): Seen {
  const { weights, surface, sheen } = conditions;
  const shift = (specular === "included" ? sheen - 1 : sheen) * surface.externalReflection;
  const reflectance = measured.map((value) => value + shift);
  const XYZ = new Float64Array(3);
  const Lab = new Float64Array(3);
  reflectanceToXYZ(reflectance, weights, XYZ);
  XYZToLab(XYZ, weights.white, Lab);
  return { reflectance, XYZ, Lab };
}
