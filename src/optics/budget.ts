import { atLeastZero, each, fraction, sameLength } from "../colour/checks.ts";
import { filmAbsorptance, filmRT } from "./film.ts";
import { checkSurface, type SurfaceConstants } from "./interface.ts";

/** One film in a stack: coefficients in 1/µm of dry film, thickness in µm. */
export interface BudgetLayer {
  readonly absorption: ArrayLike<number>;
  readonly scattering: ArrayLike<number>;
  readonly dryThickness: number;
}

/** Where the light goes that has entered a stack of films: shares for each wavelength, summing to 1. */
export interface LightBudget {
  /** what comes back out */
  reflected: Float64Array;
  /** what each layer absorbs, top to bottom */
  layers: Float64Array[];
  /** what the substrate absorbs */
  substrate: Float64Array;
}

/**
 * The light budget of a stack of films on a substrate, of the light that has entered the topmost film.
 *
 * Every share is formed by itself from the light streaming both ways at each boundary, so that the sum of 1 is a
 * consequence and not an assumption.
 *
 * @param layers top to bottom; may be none
 * @param Rg internal reflectance of the substrate, 0…1
 * @param surface when given, what comes up is sent back in by its internal reflection until it leaves or is absorbed;
 *   left out, what comes up once counts as reflected
 * @throws RangeError for a value out of range, TypeError when lengths differ
 * Source: Kubelka 1954, balance of the fluxes at each boundary; surface as in Saunderson 1942.
 */
export function lightBudget(
  layers: readonly BudgetLayer[],
  Rg: ArrayLike<number>,
  surface?: SurfaceConstants,
): LightBudget {
  const length = Rg.length;
  each("substrate reflectance", Rg, fraction);
  layers.forEach(({ absorption, scattering, dryThickness }, j) => {
    sameLength(`absorption of layer ${j + 1}`, absorption, "substrate reflectance", Rg);
    sameLength(`scattering of layer ${j + 1}`, scattering, "substrate reflectance", Rg);
    atLeastZero(`dry thickness of layer ${j + 1}`, dryThickness, "µm");
  });
  if (surface) checkSurface(surface.externalReflection, surface.internalReflection);
  const k2 = surface ? surface.internalReflection : 0;

  const reflected = new Float64Array(length);
  const substrate = new Float64Array(length);
  const absorbed = layers.map(() => new Float64Array(length));
  const film: [number, number][] = new Array(layers.length);
  // ground[j]: reflectance of everything below boundary j; boundary 0 is the top of the stack
  const ground = new Float64Array(layers.length + 1);
  for (let i = 0; i < length; i++) {
    ground[layers.length] = Rg[i];
    for (let j = layers.length - 1; j >= 0; j--) {
      film[j] = filmRT(layers[j].absorption[i], layers[j].scattering[i], layers[j].dryThickness);
      const [R, T] = film[j];
      const open = 1 - R * ground[j + 1];
      ground[j] = R + (open > 0 ? (T * T * ground[j + 1]) / open : 0);
    }
    let down = 1 / (1 - k2 * ground[0]);
    reflected[i] = (1 - k2) * ground[0] * down;
    for (let j = 0; j < layers.length; j++) {
      const [R, T] = film[j];
      const open = 1 - R * ground[j + 1];
      const below = open > 0 ? (down * T) / open : 0;
      const up = below * ground[j + 1];
      const { absorption, scattering, dryThickness } = layers[j];
      absorbed[j][i] = (down + up) * filmAbsorptance(absorption[i], scattering[i], dryThickness);
      down = below;
    }
    substrate[i] = (1 - Rg[i]) * down;
  }
  return { reflected, layers: absorbed, substrate };
}
