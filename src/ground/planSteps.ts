import { aboveZero, atLeastZero, wholeNumber } from "../colour/checks.ts";

/** Which numbers of coats may be chosen, and how thick each coat is. */
export interface CoatChoices {
  /** Wet thickness of one light coat, one heavy coat, one basecoat, µm. */
  readonly lightWet: number;
  readonly heavyWet: number;
  readonly basecoatWet: number;
  /** Least and greatest number of each. */
  readonly lightCoats: readonly [number, number];
  readonly heavyCoats: readonly [number, number];
  readonly basecoats: readonly [number, number];
}

/** One way of laying the films. */
export interface PlanStep {
  readonly basecoats: number;
  readonly lightCoats: number;
  readonly heavyCoats: number;
  /** Wet thickness of all basecoats and of all colour coats, µm. */
  readonly wetBase: number;
  readonly wetColour: number;
}

/** @throws RangeError */
export function checkCoatChoices(choices: CoatChoices): void {
  aboveZero("wet thickness of a light coat", choices.lightWet, "µm");
  aboveZero("wet thickness of a heavy coat", choices.heavyWet, "µm");
  atLeastZero("wet thickness of a basecoat", choices.basecoatWet, "µm");
  for (const [name, [least, most]] of [
    ["light coats", choices.lightCoats],
    ["heavy coats", choices.heavyCoats],
    ["basecoats", choices.basecoats],
  ] as const) {
    wholeNumber(`least ${name}`, least);
    wholeNumber(`greatest ${name}`, most, least);
  }
  if (choices.lightCoats[1] + choices.heavyCoats[1] === 0) {
    throw new RangeError("no colour coat is allowed: at least one is needed");
  }
}

/**
 * Every way of laying so many basecoats and colour coats, thinnest colour first. Of ways that lay the same
 * thickness the one with the fewest coats is kept; a way without any colour is none.
 */
export function planSteps(choices: CoatChoices, basecoats: number): PlanStep[] {
  const steps: PlanStep[] = [];
  for (let light = choices.lightCoats[0]; light <= choices.lightCoats[1]; light++) {
    for (let heavy = choices.heavyCoats[0]; heavy <= choices.heavyCoats[1]; heavy++) {
      if (light + heavy === 0) continue;
      steps.push({
        basecoats,
        lightCoats: light,
        heavyCoats: heavy,
        wetBase: basecoats * choices.basecoatWet,
        wetColour: light * choices.lightWet + heavy * choices.heavyWet,
      });
    }
  }
  steps.sort((p, q) => p.wetColour - q.wetColour || coatsOf(p) - coatsOf(q));
  return steps.filter((step, k) => k === 0 || step.wetColour > steps[k - 1].wetColour);
}

/** Coats of all kinds together. */
export function coatsOf({ basecoats, lightCoats, heavyCoats }: PlanStep): number {
  return basecoats + lightCoats + heavyCoats;
}
