import type { Component } from "../coating/component.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";

/** Whether anything is known about the uncertainty of these components. */
export function isDoubtful(components: readonly Component[], volumes: ArrayLike<number>): boolean {
  return components.some(
    ({ absorptionSigma, scatteringSigma }, j) => volumes[j] > 0 && (absorptionSigma || scatteringSigma),
  );
}

/**
 * Draws of a mix's film within the standard deviations that its components carry.
 * K and S of one component each move as a whole along the spectrum, which is the unfavourable case for a colour; values
 * below 0 are taken as 0. The same seed gives the same draws.
 */
export function doubtfulComponents(
  components: readonly Component[],
  count: number,
  seed: number,
): Component[][] {
  const random = seededRandom(seed);
  const moved = (values: Float64Array, sigma: Float64Array | undefined) => {
    const z = normal(random);
    return sigma ? values.map((value, i) => Math.max(0, value + z * sigma[i])) : values;
  };
  return Array.from({ length: count }, () =>
    components.map((component) => ({
      ...component,
      absorption: moved(component.absorption, component.absorptionSigma),
      scattering: moved(component.scattering, component.scatteringSigma),
    })),
  );
}
