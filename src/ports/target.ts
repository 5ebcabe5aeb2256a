import type { LightSpread } from "../curves/curveSpread.ts";
import type { SpecularMode } from "../optics/interface.ts";

/** The colour to reach: a measured reflectance, or a Lab reading with its conditions. */
export type Target = SpectralTarget | LabTarget;

interface AnyTarget {
  readonly label: string;
  readonly specular: SpecularMode;
}

interface SpectralTarget extends AnyTarget {
  readonly kind: "spectrum";
  /** Measured reflectance on the working grid, 0…1, in the stated specular mode. */
  readonly reflectance: Float64Array;
}

export interface LabTarget extends AnyTarget {
  readonly kind: "lab";
  readonly Lab: Float64Array;
  readonly observer: string;
  readonly illuminant: string;
  /** ΔE00 within which the true colour lies in about 90 % of cases, where that is known. */
  readonly doubt?: number;
  /** Where a curve is needed: one of the many that have this Lab. */
  readonly curve?: AssumedCurve;
}

/** A reflectance that was not measured but made to have a Lab: one of many. */
export interface AssumedCurve {
  readonly from: "smoothest" | "mixture";
  /** On the working grid, 0…1, in the specular mode of the Lab. */
  readonly reflectance: Float64Array;
  /** Others with the same Lab, as wavy as surface colours usually are; each as likely as any other. */
  readonly others: readonly Float64Array[];
  /** For a mixture: its pastes in parts of 100, and how near it comes by itself. */
  readonly mixture?: {
    readonly parts: readonly { readonly name: string; readonly share: number }[];
    readonly deltaE: number;
  };
  /** In other lights: its Lab there, and how far other curves with the same Lab may lie from it. */
  readonly lights: readonly LightSpread[];
}

/** The target as seen in the viewing conditions; a Lab target has no curve. */
export interface SeenTarget {
  readonly label: string;
  readonly reflectance: Float64Array | undefined;
  readonly XYZ: Float64Array;
  readonly Lab: Float64Array;
}
