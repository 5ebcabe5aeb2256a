import type { SpecularMode, SurfaceConstants } from "../optics/interface.ts";

// What a calibration starts from. Everything here is plain data on the working grid, fit to be sent to a worker.

/** A component of known K and S that the paste was let down with. */
export interface Companion {
  readonly name: string;
  /** K and S of its own dry film, 1/µm */
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
  /** 1σ of each; left out or 0 = taken as exact. Infinity = not known, to be estimated with the paste's. */
  readonly absorptionSigma?: Float64Array;
  readonly scatteringSigma?: Float64Array;
}

/** What lies under a drawdown. */
export interface Ground {
  /** "black", "white", "card 3"… */
  readonly name: string;
  /** reflectance of the bare ground as measured (with `mode`), or internal reflectance */
  readonly reflectance: Float64Array;
  readonly mode: SpecularMode | "internal";
  /** 1σ of each reading; 0 = taken as exact */
  readonly sigma: Float64Array;
}

/** One curve measured on a drawdown: the mean of its repeats. */
export interface Reading {
  /** index into the grounds; for an opaque film it does not matter */
  readonly ground: number;
  readonly specular: SpecularMode;
  readonly reflectance: Float64Array;
  /** 1σ of each value; Infinity = no value there */
  readonly sigma: Float64Array;
}

/** How thick the dry film of a drawdown is, µm. */
export type Thickness =
  | { readonly kind: "known"; readonly value: number /** 1σ of ln X */; readonly relativeSigma: number }
  | { readonly kind: "unknown" /** where to start looking, µm */; readonly guess?: number }
  | { readonly kind: "opaque" };

/** One film drawn down over one or more grounds at one thickness. */
export interface Drawdown<Measured = Reading> {
  readonly label: string;
  /** share of the dry film by volume: the new paste first, then each companion; sums to 1 */
  readonly fractions: Float64Array;
  readonly thickness: Thickness;
  readonly readings: readonly Measured[];
}

/** Everything the K and S of one new paste are estimated from. */
export interface CalibrationProblem {
  readonly companions: readonly Companion[];
  readonly grounds: readonly Ground[];
  readonly drawdowns: readonly Drawdown[];
  readonly surface: SurfaceConstants;
  /** what thicknesses are counted in; "amount" = K and S come out per unit of the laid amount */
  readonly thicknessUnit: "µm" | "amount";
}

/** Number of wavelengths of the problem. @throws TypeError when curves differ in length or there is none */
export function wavelengthCount(problem: CalibrationProblem): number {
  const length = problem.drawdowns[0]?.readings[0]?.reflectance.length;
  if (length === undefined)
    throw new TypeError("no reading: a calibration needs at least one measured drawdown");
  const check = (name: string, values: Float64Array | undefined): void => {
    if (values !== undefined && values.length !== length) {
      throw new TypeError(`${name} has ${values.length} values, but the first reading has ${length}`);
    }
  };
  for (const companion of problem.companions) {
    check(`absorption of ${companion.name}`, companion.absorption);
    check(`scattering of ${companion.name}`, companion.scattering);
    check(`absorption uncertainty of ${companion.name}`, companion.absorptionSigma);
    check(`scattering uncertainty of ${companion.name}`, companion.scatteringSigma);
  }
  for (const ground of problem.grounds) {
    check(`reflectance of ground ${ground.name}`, ground.reflectance);
    check(`uncertainty of ground ${ground.name}`, ground.sigma);
  }
  for (const drawdown of problem.drawdowns) {
    for (const reading of drawdown.readings) {
      check(`reading of ${drawdown.label}`, reading.reflectance);
      check(`uncertainty of ${drawdown.label}`, reading.sigma);
    }
  }
  return length;
}
