import { normal } from "../../src/fit/seededRandom.ts";
import { judgedDifference } from "../../src/judgement/judgedDifference.ts";
import { type Judgement, stepOf } from "../../src/judgement/stepWords.ts";

/** Scatter on the logarithmic scale, additive noise, spread of bias among people (from memory; CIE 101, ISO 105 give the order). */
export const ordinary = { scatter: 0.35, noise: 0.45, bias: 0.25 };

/** Spread of a poured panel about what the model says, in eye's units on each axis (from memory). */
export const pouredOff = 0.35;

export type Random = () => number;

export interface Observer {
  judge(reference: ArrayLike<number>, panel: ArrayLike<number>): Judgement;
}

/** Sees differences times one bias of the person and a scatter, plus noise; says the word whose interval it falls into. */
export function observer(random: Random, coarseness = 1): Observer {
  const bias = ordinary.bias * normal(random);
  return {
    judge: (reference, panel) => {
      const seen = judgedDifference(reference, panel);
      const word = (axis: number) =>
        stepOf(
          seen[axis] * Math.exp(bias + coarseness * ordinary.scatter * normal(random)) +
            coarseness * ordinary.noise * normal(random),
        );
      return [word(0), word(1), word(2)];
    },
  };
}

/** Presses each of the nine words alike. */
export function randomWords(random: Random): Observer {
  const word = () => (Math.floor(random() * 9) - 4) as Exclude<Judgement[number], null>;
  return { judge: () => [word(), word(), word()] };
}
