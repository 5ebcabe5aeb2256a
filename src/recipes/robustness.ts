import { deltaE2000 } from "../colour/difference.ts";
import type { ForwardModel } from "./forward.ts";

/** How much a hand at the bench varies, as standard deviations. */
export interface HandVariation {
  /** Of each dose, relative. */
  readonly dose: number;
  /** Of the film build, relative. */
  readonly filmBuild: number;
}

/** Doses within 2 %, film build within 10 % (common practice; editable). */
const usualHand: HandVariation = Object.freeze({ dose: 0.02, filmBuild: 0.1 });

/**
 * Typical colour shift of a recipe under an uneven hand: root of the sum of squared ΔE00 in the main light when each dose and
 * the film build alone is off by one standard deviation, on the ground where it is greatest.
 *
 * @param forward with the recipe's variables in use   @param x wet shares   @param lights number of lights in the model
 */
export function typicalShift(
  forward: ForwardModel,
  x: Float64Array,
  lights: number,
  hand: HandVariation = usualHand,
): number {
  const size = 3 * forward.grounds * lights;
  const planned = new Float64Array(size);
  const moved = new Float64Array(size);
  const squares = new Float64Array(forward.grounds);
  // Up and down count half each: a film that is thinner by a tenth shows more than one that is thicker.
  const add = (): void => {
    for (let g = 0; g < forward.grounds; g++) {
      const at = 3 * g * lights;
      squares[g] += deltaE2000(planned.subarray(at, at + 3), moved.subarray(at, at + 3)) ** 2 / 2;
    }
  };
  forward.labsInto(x, planned);
  const y = x.slice();
  for (const sign of [-1, 1]) {
    for (let i = 0; i < x.length; i++) {
      y[i] = x[i] * (1 + sign * hand.dose);
      forward.labsInto(y, moved);
      add();
      y[i] = x[i];
    }
    if (forward.setting.finish.kind === "coats") {
      forward.labsInto(x, moved, Math.max(0, 1 + sign * hand.filmBuild));
      add();
    }
  }
  return Math.sqrt(Math.max(...squares));
}
