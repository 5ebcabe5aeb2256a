import type { AssumedCurve } from "./target.ts";

/** What is known of a part of which only a Lab was read. */
export interface PartFromLab {
  readonly curve: AssumedCurve;
  /** Internal reflectance of other parts with this Lab, each as likely as any other. */
  readonly others: readonly Float64Array[];
  /** The Lab as read, with the surface reflection, in its own light. */
  readonly readLab: Float64Array;
}

/** A kind of part to be coated. */
export interface Substrate {
  readonly name: string;
  /** Internal reflectance on the working grid: what a wetting coat sees of the part. */
  readonly internal: Float64Array;
  /** Reflectance as measured, specular included, for showing. */
  readonly measured: Float64Array;
  /** Where the part is known as a Lab only. */
  readonly fromLab?: PartFromLab;
  /** Area of one part by its outline, m². */
  readonly area: number;
  readonly count: number;
  /** True surface ÷ outline: 1 for smooth, more for grain. */
  readonly textureFactor: number;
  /** In plain words, e.g. "vinyl"; empty when not said. */
  readonly material: string;
  /** Heavy colour coats that it gets beyond those of the coat plan; none when left out. */
  readonly moreCoats?: number;
}
