import type { JointDraws } from "../coating/jointDraws.ts";
import type { CalibratedShelf } from "./calibrateShelf.ts";

/** Draws that are handed on, spread evenly over those of all priors: bands of nine in ten need a few dozen. */
const kept = 64;
/** Below e^−6 of the mean there is nothing left to see: ln need not run further there. */
const least = -6;

/** A component as it is handed on: its index, and the bottle it is poured from now, or -1. */
interface HandedComponent {
  readonly component: number;
  readonly bottle: number;
  /** Strength of that bottle that goes with the mean of the paste. */
  readonly strength: number;
}

/**
 * Draws of a calibrated shelf in the form that goes along with each component. Draw i of every component is the same draw of
 * the posterior, so that what ties components together, and one wavelength to the next, is handed on as it is.
 *
 * @param posterior a name that no other posterior has
 */
export function handedOn(
  { draws, absorption, scattering }: CalibratedShelf,
  points: number,
  components: readonly HandedComponent[],
  posterior: string,
): JointDraws[] {
  const curves = absorption.length;
  const bottles = draws.bottles.length / draws.count;
  const count = Math.min(kept, draws.count);
  return components.map(({ component, bottle, strength }) => {
    const at = component * points;
    const logs = Array.from({ length: count }, (_, k) => {
      const d = Math.floor((k * draws.count) / count);
      const stronger = bottle < 0 ? 0 : draws.bottles[d * bottles + bottle] - Math.log(strength);
      const row = new Float64Array(2 * points);
      for (let i = 0; i < points; i++) {
        row[i] = logOf(draws.absorption[d * curves + at + i], absorption[at + i]) + stronger;
        row[points + i] = logOf(draws.scattering[d * curves + at + i], scattering[at + i]) + stronger;
      }
      return row;
    });
    return { posterior, logs };
  });
}

const logOf = (value: number, mean: number) => Math.max(Math.log(value / mean), least);
