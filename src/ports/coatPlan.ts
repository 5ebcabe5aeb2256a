import type { Coat } from "../coating/thickness.ts";

/** The colour coats in the order they are sprayed. */
export interface ColourCoats {
  /** Id of the cell that holds the plan, so that others can set it. */
  readonly cell: string;
  /** Wet thickness of one light and of one heavy coat, µm, whether any is planned or not. */
  readonly lightWet: number;
  readonly heavyWet: number;
  readonly coats: readonly Coat[];
  /** Wet thickness of every coat, µm, in order. */
  readonly wetThicknesses: Float64Array;
}
