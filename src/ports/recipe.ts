import type { Component } from "../coating/component.ts";
import type { Seen } from "../coating/eye.ts";
import type { Mix } from "../coating/mix.ts";
import type { AmountLimits } from "../recipes/recipeLimits.ts";
import type { SeenTarget } from "./target.ts";
import type { Viewing } from "./viewing.ts";

/** A mix of pastes in a binder. */
export interface Recipe {
  /** Id of the cell that holds the amounts, so that others can set them. */
  readonly cell: string;
  readonly components: readonly Component[];
  /** Wet amount of each component, mL. */
  readonly volumes: Float64Array;
  readonly mix: Mix;
  /** 1/µm of dry film on the working grid. */
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
  /** Greatest allowed paste share of the wet mix, 0…1. */
  readonly maxLoading: number;
  /** What a fit of its amounts keeps besides: a least dose, mL per 100 mL, and steps of a balance, g. */
  readonly leastDose: number;
  readonly balanceStep: number;
  /** Least and greatest amount of each component, mL per 100 mL. */
  readonly amountLimits: AmountLimits;
  /** What the mix looks like, when the recipe is linked to a viewing cell. */
  readonly preview: RecipePreview | undefined;
  /** The set it chooses from. */
  readonly available: readonly Component[];
}

export interface RecipePreview {
  /** What it was looked at with. */
  readonly conditions: Viewing;
  /** The colour in a film thick enough to hide everything. */
  readonly opaque: Seen;
  readonly target: SeenTarget | undefined;
  readonly opaqueDifference: number | undefined;
  /** Over the linked ground and coats: the part that misses the target most. */
  readonly worst: { readonly part: string; readonly seen: Seen; readonly difference: number } | undefined;
  /** Range of the worst part's difference (or, without parts, of the opaque one) that the doubt of K and S leaves, 90 %. */
  readonly doubt: { readonly low: number; readonly high: number } | undefined;
}
