import { filmReflectanceInto } from "../../../src/optics/film.ts";
import type { SurfaceConstants } from "../../../src/optics/interface.ts";
import { usualStreams } from "../../../src/optics/transfer/stack.ts";
import { diffuseInternalReflectance, normalReflectance } from "../fresnel.ts";
import { exactReflectances, type TransferLayer } from "./exactReflectances.ts";

/** A stack of films over the grounds of several parts. */
interface TransferStack {
  /** Top to bottom. */
  readonly layers: readonly TransferLayer[];
  /** Internal reflectance of each part, 0…1. */
  readonly grounds: readonly ArrayLike<number>[];
}

/** The same stack by both theories: internal reflectance for diffuse light, one spectrum for each ground. */
interface SecondOpinion {
  readonly exact: readonly Float64Array[];
  readonly twoFlux: readonly Float64Array[];
}

/**
 * Internal reflectance of a stack by exact plane-parallel multiple scattering, beside that of two-flux
 * theory.
 *
 * Both are for diffuse light inside the film, so that the same surface correction (Saunderson, or Fresnel's
 * diffuse values by `fresnelSurface`) turns either into what is measured or seen.
 *
 * @param streams directions in each hemisphere; 8 err by less than 1e-5 for films of paint
 * @throws RangeError for a value out of range, TypeError when lengths differ
 * Source: adding and doubling (van de Hulst 1980) with K = 2k, S = ¾s(1 − g) (Mudgett, Richards 1971; Gate
 * 1974) against Kubelka 1948.
 */
export function secondOpinion(
  { layers, grounds }: TransferStack,
  { streams = usualStreams }: { streams?: number } = {},
): SecondOpinion {
  const exact = exactReflectances(layers, grounds, streams);
  return { exact, twoFlux: twoFluxReflectances(layers, grounds) };
}

/**
 * Internal reflectance of a stack by two-flux theory. Source: Kubelka 1948, folded from the ground upward.
 */
function twoFluxReflectances(
  layers: readonly TransferLayer[],
  grounds: readonly ArrayLike<number>[],
): Float64Array[] {
  return grounds.map((ground) => {
    const R = Float64Array.from(ground);
    for (let j = layers.length - 1; j >= 0; j--) {
      const { absorption, scattering, dryThickness } = layers[j];
      filmReflectanceInto(absorption, scattering, dryThickness, R, R);
    }
    return R;
  });
}

/**
 * Surface constants of a smooth film of known refractive index: k1 for light along the normal, k2 for diffuse
 * light from inside.
 *
 * @param index refractive index, 1.01…10
 * @throws RangeError outside that range
 * Source: Fresnel's equations; diffuse value after Judd 1942.
 */
export function fresnelSurface(index: number): SurfaceConstants {
  return {
    externalReflection: normalReflectance(index),
    internalReflection: diffuseInternalReflectance(index),
  };
}
