import type { Seen } from "../coating/eye.ts";
import type { PaintedStep } from "../coating/paintedPart.ts";
import type { Basecoat } from "./basecoat.ts";
import type { ColourCoats } from "./coatPlan.ts";
import type { Recipe } from "./recipe.ts";
import type { Substrate } from "./substrate.ts";
import type { SeenTarget, Target } from "./target.ts";
import type { Viewing } from "./viewing.ts";

/** A painted part beside the target and beside the colour's own opaque film. */
export interface ComparedStep extends PaintedStep {
  /** Difference to the target in the viewing cell's formula; undefined without a target. */
  readonly difference: number | undefined;
  /** CIEDE2000 to the colour's own opaque film. */
  readonly toOpaque: number;
}

export interface CoveragePart {
  readonly substrate: Substrate;
  /** Internal reflectance of the ground under the colour: basecoat on the part. */
  readonly ground: Float64Array;
  readonly groundSeen: Seen;
  /** Build-up with the basecoat: index = colour coats, from none to the last tried. */
  readonly steps: readonly ComparedStep[];
  /** The same colour coats straight on the part. */
  readonly bareSteps: readonly ComparedStep[];
  /** After the planned coats and the part's own, with and without basecoat. */
  readonly painted: ComparedStep;
  readonly bare: ComparedStep;
  /** Fewest coats that reach the target within tolerance, if any within those tried. */
  readonly coatsToTarget: number | undefined;
  readonly coatsToTargetBare: number | undefined;
  /** Fewest coats within tolerance of the colour's own opaque film. */
  readonly coatsToHide: number | undefined;
  readonly coatsToHideBare: number | undefined;
  /** A part known as Lab only: ΔE00 within which nine of ten parts with this Lab look after the planned coats. */
  readonly LabDoubt?: number;
}

/** Hiding of the colour by itself, from its film over black and over white. */
export interface HidingFigures {
  /** Luminance over black ÷ over white (reflectance 0 and 0.80) at the planned thickness. */
  readonly contrastRatio: number;
  /** Dry thickness for a contrast ratio of 0.98, µm; undefined when none within reason does. */
  readonly thicknessAt98: number | undefined;
  /** Spread rate there, m²/L. */
  readonly spreadRateAt98: number | undefined;
  /** CIEDE2000 between the film over black and over white at the planned thickness. */
  readonly blackWhiteDifference: number;
  readonly scopeNote: string;
}

/** The whole job as predicted, with everything it was computed from, so that sweeps can take it further. */
export interface Coverage {
  readonly recipe: Recipe;
  readonly basecoat: Basecoat | undefined;
  readonly colourCoats: ColourCoats;
  /** Dry thickness of each coat that all parts get and of further ones tried, µm. */
  readonly dryThicknesses: Float64Array;
  readonly target: Target | undefined;
  readonly targetSeen: SeenTarget | undefined;
  readonly viewing: Viewing;
  readonly parts: readonly CoveragePart[];
  readonly opaque: Seen & { readonly difference: number | undefined };
  /** Internal reflectance of the opaque colour. */
  readonly opaqueInternal: Float64Array;
  /** Index of the part that misses the target most, or 0. */
  readonly worst: number;
  readonly hiding: HidingFigures;
  /** Dry thickness of the planned colour coats that all parts get, µm. */
  readonly colourDryThickness: number;
  /** Dry build of basecoat and colour on the part where it is thickest, µm. */
  readonly dryBuild: number;
}
