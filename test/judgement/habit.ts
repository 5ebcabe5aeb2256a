import { deltaE2000 } from "../../src/colour/difference.ts";
import { moved, poured, type Scene } from "./shelfScene.ts";
import type { Observer, Random } from "./simulatedObserver.ts";

/** First step on an axis, in the eye's own units. */
const firstStep = 3;

/**
 * What is done by habit: one step on the axis whose word is off most, against that word; the step of an axis is halved when
 * its word turns round. Ends changing where nothing is to be told.
 *
 * @returns ΔE00 to the reference of each panel poured
 */
export function byHabit(
  { reference, first }: Scene,
  eye: Observer,
  random: Random,
  panels: number,
): number[] {
  const steps = [firstStep, firstStep, firstStep];
  const lastSign = [0, 0, 0];
  const differences: number[] = [];
  let believed: Float64Array = Float64Array.from(first);
  for (let panel = 0; panel < panels; panel++) {
    const real = poured(believed, random);
    differences.push(deltaE2000(reference, real));
    const words = eye.judge(reference, real).map((step): number => step ?? 0);
    const worst = words.reduce(
      (best, step, axis) => (Math.abs(step) > Math.abs(words[best]) ? axis : best),
      0,
    );
    const sign = Math.sign(words[worst]);
    if (sign === 0) continue;
    if (lastSign[worst] === -sign) steps[worst] /= 2;
    lastSign[worst] = sign;
    const change = [0, 0, 0];
    change[worst] = -sign * steps[worst];
    believed = moved(believed, change);
  }
  return differences;
}
