import type { Component } from "../coating/component.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";

/** Whether anything is known about the uncertainty of these components. */
export function isDoubtful(components: readonly Component[], volumes: ArrayLike<number>): boolean {
  return components.some(
    ({ absorptionSigma, scatteringSigma, scaleSigma }, j) =>
      volumes[j] > 0 && (absorptionSigma || scatteringSigma || scaleSigma),
  );
}

/**
 * Draws of a mix's film within the standard deviations that its components carry.
 * K and S of one component each move as a whole along the spectrum, which is the unfavourable case for a colour; values
 * below 0 are taken as 0. A doubtful scale moves both by one factor. The same seed gives the same draws.
 */
export function doubtfulComponents(
  components: readonly Component[],
  count: number,
  seed: number,
): Component[][] {
  const random = seededRandom(seed);
  const moved = (values: Float64Array, sigma: Float64Array | undefined, scale: number) => {
    const z = normal(random);
    return sigma || scale !== 1
      ? values.map((value, i) => Math.max(0, value + (sigma ? z * sigma[i] : 0)) * scale)
      : values;
  };
  return Array.from({ length: count }, () =>
    components.map((component) => {
      // No draw is taken where none is needed, so that what is drawn for the others stays as it was.
      const scale = component.scaleSigma ? Math.exp(component.scaleSigma * normal(random)) : 1;
      return {
        ...component,
        absorption: moved(component.absorption, component.absorptionSigma, scale),
        scattering: moved(component.scattering, component.scatteringSigma, scale),
      };
    }),
  );
}
