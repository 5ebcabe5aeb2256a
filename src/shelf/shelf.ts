import type { TristimulusWeights } from "../colour/weights.ts";
import type { SpecularMode, SurfaceConstants } from "../optics/interface.ts";

// A shelf is calibrated as a whole: every paste from every film in which it was poured. This file holds what is told
// of films and readings; nothing here is fitted.

/** A paste, binder or ready paint of the shelf. */
export interface ShelfComponent {
  readonly name: string;
  /** K and S per unit of amount where they are known beforehand, with their relative standard uncertainty (1σ) */
  readonly known?: {
    readonly absorption: Float64Array;
    readonly scattering: Float64Array;
    readonly relativeSigma: number;
  };
}

/** What lies in a film of one component. */
export interface FilmPart {
  /** index into the components */
  readonly component: number;
  /** dry thickness that this component takes in the film, in the unit of all amounts; above 0 */
  readonly amount: number;
}

/** One film: what was poured, how thick it was laid. Several readings may belong to it. */
export interface ShelfFilm {
  readonly label: string;
  readonly parts: readonly FilmPart[];
  /** 1σ of ln thickness */
  readonly thicknessSigma: number;
  /** 1σ of the logarithm of each dose; it moves the proportions, not the thickness */
  readonly doseSigma: number;
  /** the thickness is known as an amount laid on an area, to which it need not be quite proportional */
  readonly laid?: boolean;
}

/** A reading of a film, or a film without one that is to be predicted. */
export interface ShelfReading {
  /** films from the ground upward; the last one is the film that is read */
  readonly films: readonly number[];
  /** index into the grounds */
  readonly ground: number;
  readonly specular: SpecularMode;
  readonly seen?:
    | { readonly kind: "spectrum"; readonly reflectance: Float64Array }
    | {
        readonly kind: "Lab";
        readonly Lab: readonly [number, number, number];
        /** 1σ in L*, a* and b* */
        readonly sigma: number;
        readonly weights: TristimulusWeights;
      };
  /** set aside: told, and predicted, but nothing is learnt from it */
  readonly setAside?: boolean;
}

/** Everything that is known of a shelf before it is calibrated. */
export interface Shelf {
  /** nm, evenly spaced */
  readonly wavelengths: Float64Array;
  readonly components: readonly ShelfComponent[];
  /** internal reflectance of each bare ground */
  readonly grounds: readonly Float64Array[];
  readonly films: readonly ShelfFilm[];
  readonly readings: readonly ShelfReading[];
  readonly surface: Readonly<SurfaceConstants>;
}
