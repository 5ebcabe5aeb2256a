/** A kind of part to be coated. */
export interface Substrate {
  readonly name: string;
  /** Internal reflectance on the working grid: what a wetting coat sees of the part. */
  readonly internal: Float64Array;
  /** Reflectance as measured, specular included, for showing. */
  readonly measured: Float64Array;
  /** Area of one part by its outline, m². */
  readonly area: number;
  readonly count: number;
  /** True surface ÷ outline: 1 for smooth, more for grain. */
  readonly textureFactor: number;
  /** In plain words, e.g. "vinyl"; empty when not said. */
  readonly material: string;
}
