import { filmReflectanceInto } from "../optics/film.ts";
import type { Eye, Seen } from "./eye.ts";

/** A film: coefficients on the working grid, 1/µm of dry film, and dry thickness, µm. */
export interface Film {
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
  readonly dryThickness: number;
}

/** What a part looks like after some colour coats. */
export interface PaintedStep extends Seen {
  readonly coats: number;
  /** Dry thickness of the colour so far, µm. */
  readonly dryThickness: number;
}

/** Internal reflectance of the ground under the colour: the basecoat film on the part, or the bare part. */
export function groundReflectance(substrate: Float64Array, basecoat: Film | undefined): Float64Array {
  const ground = new Float64Array(substrate.length);
  if (basecoat) {
    filmReflectanceInto(basecoat.absorption, basecoat.scattering, basecoat.dryThickness, substrate, ground);
  } else {
    ground.set(substrate);
  }
  return ground;
}

/**
 * Build-up of a colour over a ground, coat by coat.
 * @param ground internal reflectance on the working grid
 * @param colour film coefficients (its own thickness is not used)
 * @param dryThicknesses dry thickness of each coat in order, µm
 * @returns one step for each number of coats, from none to all
 */
export function buildUp(
  ground: Float64Array,
  colour: Pick<Film, "absorption" | "scattering">,
  dryThicknesses: ArrayLike<number>,
  eye: Eye,
): PaintedStep[] {
  const internal = new Float64Array(ground.length);
  const steps: PaintedStep[] = [];
  let dryThickness = 0;
  for (let coats = 0; coats <= dryThicknesses.length; coats++) {
    if (coats > 0) dryThickness += dryThicknesses[coats - 1];
    // Coats of one paint make one film (Kubelka 1954), so each step starts again from the ground.
    filmReflectanceInto(colour.absorption, colour.scattering, dryThickness, ground, internal);
    steps.push({ coats, dryThickness, ...eye.see(internal) });
  }
  return steps;
}

/** Fewest coats whose difference is within the tolerance, or undefined. */
export function coatsWithin(differences: ArrayLike<number>, tolerance: number): number | undefined {
  for (let coats = 0; coats < differences.length; coats++) if (differences[coats] <= tolerance) return coats;
  return undefined;
}
