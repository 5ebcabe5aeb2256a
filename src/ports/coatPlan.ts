import type { Coat } from "../coating/thickness.ts";

/** The colour coats in the order they are sprayed. */
export interface ColourCoats {
  readonly coats: readonly Coat[];
  /** Wet thickness of every coat, µm, in order. */
  readonly wetThicknesses: Float64Array;
}
