import type { DifferenceFormula } from "../colour/difference.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import type { SurfaceConstants } from "../optics/interface.ts";

export interface OtherLight {
  readonly weights: TristimulusWeights;
  /** How much a mismatch in this light counts beside the main light, ≥ 0. */
  readonly weight: number;
}

/** How colours are looked at and compared. */
export interface Viewing {
  /** Observer and main light as tristimulus weights on the working grid. */
  readonly weights: TristimulusWeights;
  readonly others: readonly OtherLight[];
  /** Share of the surface reflection that reaches the eye: 0 gloss off the highlight … 1 dead matt. */
  readonly sheen: number;
  readonly surface: SurfaceConstants;
  readonly formula: DifferenceFormula;
  /** Largest colour difference that passes. */
  readonly tolerance: number;
  /** Gamut of the screen for simulated panels. */
  readonly gamut: "srgb" | "p3";
}
