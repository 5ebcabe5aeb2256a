import type { Component } from "../coating/component.ts";
import { drawnCurves, posteriorsOf } from "../coating/jointDraws.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";

/** Whether anything is known about the uncertainty of these components. */
export function isDoubtful(components: readonly Component[], volumes: ArrayLike<number>): boolean {
  return components.some(
    ({ absorptionSigma, scatteringSigma, scaleSigma, joint }, j) =>
      volumes[j] > 0 && (absorptionSigma || scatteringSigma || scaleSigma || joint),
  );
}

/**
 * Draws of a mix's film within what is known of its components. Those that were found together move together, as their
 * posterior has it, along the spectrum and with each other. K and S of any other each move as a whole along the spectrum
 * within their standard deviations, which is the unfavourable case for a colour; values below 0 are taken as 0. A doubtful
 * scale moves both by one factor. The same seed gives the same draws.
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
  const orders = ordersOf(components, count, seed);
  return Array.from({ length: count }, (_, draw) =>
    components.map((component) => {
      // No draw is taken where none is needed, so that what is drawn for the others stays as it was.
      const scale = component.scaleSigma ? Math.exp(component.scaleSigma * normal(random)) : 1;
      const absorption = moved(component.absorption, component.absorptionSigma, scale);
      const scattering = moved(component.scattering, component.scatteringSigma, scale);
      const order = component.joint && orders.get(component.joint.posterior);
      return { ...component, ...(order ? drawnCurves(component, order[draw]) : { absorption, scattering }) };
    }),
  );
}

/**
 * Which draw of each posterior goes with which of ours: spread evenly over the posterior's own, so that few of ours stand for
 * all of them. Draws of a second posterior are shuffled: they have nothing to do with those of the first.
 */
function ordersOf(components: readonly Component[], count: number, seed: number): Map<string, number[]> {
  const orders = new Map<string, number[]>();
  for (const [posterior, draws] of posteriorsOf(components)) {
    const order = Array.from({ length: count }, (_, i) => Math.floor((i * draws) / count));
    const random = seededRandom(seed + 7919 * orders.size);
    for (let i = orders.size > 0 ? count - 1 : 0; i > 0; i--) {
      const j = Math.floor(random() * (i + 1));
      [order[i], order[j]] = [order[j], order[i]];
    }
    orders.set(posterior, order);
  }
  return orders;
}
