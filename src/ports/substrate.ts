/** A kind of part to be coated. */
export interface Substrate {
  readonly name: string;
  /** Internal reflectance on the working grid: what a wetting coat sees of the part. */
  readonly internal: Float64Array;
  /** Reflectance as measured, specular included, for showing. */
  readonly measured: Float64Array;
  /** Area of one part, m². */
  readonly area: number;
  readonly count: number;
}
