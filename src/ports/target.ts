import type { SpecularMode } from "../optics/interface.ts";

/** The colour to reach: a measured reflectance, or a Lab reading with its conditions. */
export type Target = SpectralTarget | LabTarget;

interface AnyTarget {
  readonly label: string;
  readonly specular: SpecularMode;
}

export interface SpectralTarget extends AnyTarget {
  readonly kind: "spectrum";
  /** Measured reflectance on the working grid, 0…1, in the stated specular mode. */
  readonly reflectance: Float64Array;
}

export interface LabTarget extends AnyTarget {
  readonly kind: "lab";
  readonly Lab: Float64Array;
  readonly observer: string;
  readonly illuminant: string;
}
