import { judgedDifferenceInto } from "./judgedDifference.ts";
import { evenPoints } from "./panelWorth.ts";
import { cloudSize, type JudgedPanel, type ReferenceCloud, usualPanelDoubt } from "./referenceCloud.ts";
import { mostDoubt, stepChances } from "./stepChances.ts";
import { isNeutral, type Step, stepCount } from "./stepWords.ts";

/** A word that the other words contradict. */
export interface OddWord {
  readonly panel: number;
  readonly axis: number;
  readonly said: Exclude<Step, null>;
  /** The word that all others lead one to expect there. */
  readonly expected: Exclude<Step, null>;
  /** Chance of a word as unlikely as that. */
  readonly chance: number;
}

/** Words this unlikely, or less, are named (common practice). */
const oddBelow = 0.01;
const manyPoints = 800;

/**
 * The words that do not go with all the others: for each word, the words expected there when it is left out (each point of
 * the cloud divided by its chance of that word), and the chance of one as unlikely as that.
 * Source: importance weighted leave-one-out prediction (Gelfand, Dey, Chang 1992).
 */
export function oddWords(cloud: ReferenceCloud, panels: readonly JudgedPanel[]): OddWord[] {
  const points = evenPoints(cloud, manyPoints);
  const reference = new Float64Array(3);
  const seen = new Float64Array(3);
  const odd: OddWord[] = [];
  panels.forEach(({ Lab, judgement, doubt = usualPanelDoubt }, panel) => {
    const chances = stepChances(Math.min(doubt, mostDoubt));
    const neutral = isNeutral(Lab);
    const expected = new Float64Array(3 * stepCount);
    for (let k = 0; k < manyPoints; k++) {
      const at = k * cloudSize;
      for (let i = 0; i < 3; i++) reference[i] = points[at + i];
      judgedDifferenceInto(reference, Lab, neutral, seen);
      for (let axis = 0; axis < 3; axis++) {
        const said = judgement[axis];
        if (said === null) continue;
        const difference = seen[axis] * Math.exp(points[at + 3 + axis]);
        const weight = 1 / chances.of(said, difference, points[at + 6]);
        for (let step = -4; step <= 4; step++) {
          expected[axis * stepCount + step + 4] += weight * chances.of(step, difference, points[at + 6]);
        }
      }
    }
    for (let axis = 0; axis < 3; axis++) {
      const said = judgement[axis];
      if (said === null) continue;
      const row = expected.subarray(axis * stepCount, (axis + 1) * stepCount);
      const whole = row.reduce((sum, chance) => sum + chance, 0);
      const own = row[said + 4];
      const chance = row.reduce((sum, other) => (other <= own ? sum + other : sum), 0) / whole;
      if (chance > oddBelow) continue;
      const likeliest = row.indexOf(row.reduce((most, other) => Math.max(most, other), 0));
      odd.push({ panel, axis, said, expected: (likeliest - 4) as Exclude<Step, null>, chance });
    }
  });
  return odd;
}
