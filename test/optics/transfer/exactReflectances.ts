import { atLeastZero, each, fraction, ofLength, within } from "../../../src/colour/checks.ts";
import type { Slab } from "../../../src/optics/transfer/slab.ts";
import { opticalFilm, StackSolver, usualStreams } from "../../../src/optics/transfer/stack.ts";

/**
 * One film of a stack, with two-flux coefficients as everywhere else, 1/µm of dry film, and thickness in µm.
 */
export interface TransferLayer {
  readonly absorption: ArrayLike<number>;
  readonly scattering: ArrayLike<number>;
  readonly dryThickness: number;
  /** Mean cosine g of scattering; 0 (isotropic) when left out. */
  readonly anisotropy?: number;
}

/**
 * Exact internal reflectance, for diffuse light, of a stack of films over one or several Lambertian grounds:
 * plane-parallel multiple scattering with matched refractive indices, on the grid of the layers.
 *
 * @param layers top to bottom   @param grounds internal reflectances, 0…1, one spectrum for each part
 * @param streams directions in each hemisphere; 8 err by less than 1e-5 for films of paint
 * @returns one spectrum for each ground
 * @throws RangeError for a value out of range, TypeError when lengths differ
 * Source: adding and doubling (van de Hulst 1980); coefficients by Mudgett, Richards 1971.
 */
export function exactReflectances(
  layers: readonly TransferLayer[],
  grounds: readonly ArrayLike<number>[],
  streams = usualStreams,
): Float64Array[] {
  if (grounds.length === 0) return [];
  const { length } = grounds[0];
  checkStack(layers, grounds);
  const solver = new StackSolver(streams);
  const out = grounds.map(() => new Float64Array(length));
  const slabs: Slab[] = new Array(layers.length);
  for (let i = 0; i < length; i++) {
    layers.forEach(({ absorption, scattering, dryThickness, anisotropy }, j) => {
      slabs[j] = solver.slab(opticalFilm(absorption[i], scattering[i], dryThickness, anisotropy), anisotropy);
    });
    grounds.forEach((ground, g) => {
      out[g][i] = solver.over(slabs, ground[i]);
    });
  }
  return out;
}

/** @throws RangeError, TypeError */
function checkStack(layers: readonly TransferLayer[], grounds: readonly ArrayLike<number>[]): void {
  const { length } = grounds[0];
  for (const ground of grounds) {
    ofLength("ground reflectance", ground, length);
    each("ground reflectance", ground, fraction);
  }
  layers.forEach(({ absorption, scattering, dryThickness, anisotropy = 0 }, j) => {
    ofLength(`absorption of layer ${j + 1}`, absorption, length);
    ofLength(`scattering of layer ${j + 1}`, scattering, length);
    each(`absorption of layer ${j + 1}`, absorption, atLeastZero, "1/µm");
    each(`scattering of layer ${j + 1}`, scattering, atLeastZero, "1/µm");
    atLeastZero(`dry thickness of layer ${j + 1}`, dryThickness, "µm");
    within(`anisotropy of layer ${j + 1}`, anisotropy, -0.999, 0.999);
  });
}
