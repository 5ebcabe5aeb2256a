import type { Component } from "../coating/component.ts";
import type { Mix } from "../coating/mix.ts";

/** A blend of base paints laid under the colour. */
export interface Basecoat {
  /** Id of the cell that holds the ratio, so that others can set it. */
  readonly cell: string;
  readonly paints: readonly Component[];
  /** What the cell may blend: base paints, then the pastes that may tint them. */
  readonly available: readonly Component[];
  /** Share of each paint in the wet blend, by volume; sums to 1. */
  readonly shares: Float64Array;
  /** Share of the second paint in the first two, 0…1: the basecoat ratio. */
  readonly ratio: number;
  /** Share of the third paint in the whole, 0…1. */
  readonly thirdShare: number;
  readonly mix: Mix;
  /** 1/µm of dry film on the working grid. */
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
  readonly coats: number;
  /** Wet thickness of one coat, µm. */
  readonly wetThickness: number;
  /** Dry thickness of all coats, µm. */
  readonly dryThickness: number;
}
