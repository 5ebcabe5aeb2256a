/** CIE 1931 standard observer (2°) and CIE 1964 standard observer (10°). */
export type ObserverName = "1931-2" | "1964-10";

/** Colour-matching functions at wavelengths 1 nm apart. */
export interface ObserverTable {
  readonly name: ObserverName;
  /** nm, 1 nm apart */
  readonly wavelengths: Float64Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
}
