import * as v from "valibot";
import type { Component } from "../../src/coating/component.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { type AxisWords, axisWords, stepOf, stepText } from "../../src/judgement/stepWords.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { dropsPerMlOf } from "../../src/ports/drops.ts";
import { matchOf } from "../../src/ports/matchOf.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import { overGround } from "../../src/recipes/finish.ts";
import { plural } from "../../src/words/plural.ts";
import { type InventedPair, inventedPair } from "./model/pair.ts";

/** An invented pair to judge, with what is right about it. */
export interface PairToJudge extends InventedPair {
  readonly coverage: Coverage;
  readonly components: readonly Component[];
  readonly words: readonly [AxisWords, AxisWords, AxisWords];
  readonly pot: number;
}

const said = v.nullable(
  v.union([v.literal("cannot judge"), v.pipe(v.number(), v.integer(), v.minValue(-4), v.maxValue(4))]),
);

export const pairToJudge = defineCell({
  kind: "pair-to-judge",
  label: "Pair to judge",
  about:
    "An invented pair on screen, the mix and the mix with some drops (of 1/20 mL) in it: name the step on each axis, say which " +
    "paste went in, then see. A screen teaches direction, not size: sizes are learned from painted pairs.",
  tells: ["pair"],
  inputs: { coverage: { type: "coverage", label: "Mix, ground and coats" } },
  parameters: {
    pair: { type: "number", label: "Pair", whole: true, min: 1, max: 10_000, step: 1, initial: 1 },
    pot: {
      type: "number",
      label: "In the pot",
      unit: "mL",
      min: 1,
      max: 10_000,
      step: 5,
      digits: 1,
      initial: 50,
    },
    said: {
      type: "value",
      label: "Judged",
      schema: v.tuple([said, said, said]),
      initial: [null, null, null] as [Said, Said, Said],
    },
    paste: { type: "text", label: "Dropped in", initial: "", maxLength: 64 },
  },
  compute: ({ coverage }, { pair, pot }): PairToJudge => {
    const { recipe } = coverage;
    const components = [
      ...recipe.components,
      ...recipe.available.filter(
        ({ id, role }) => role === "paste" && !recipe.components.some((own) => own.id === id),
      ),
    ];
    const { binderIndex, finish, surface, sheen, lights, limits } = matchOf(coverage, components);
    if (binderIndex < 0) {
      throw new InputError("The recipe has no binder", {
        field: "coverage",
        wayOut: "Add a binder to the recipe",
      });
    }
    const paint = {
      components,
      binderIndex,
      finish: overGround(finish, 0),
      weights: lights[0].weights,
      surface,
      sheen,
      maxLoading: limits.maxLoading,
    };
    const total = recipe.volumes.reduce((sum, volume) => sum + volume, 0);
    const volumes = Float64Array.from(components, (_, j) => ((recipe.volumes[j] ?? 0) * pot) / total);
    const invented = inventedPair(pair, paint, volumes, ({ id }) => dropsPerMlOf(id, []));
    return { ...invented, coverage, components, words: axisWords(invented.panel), pot };
  },
  verdict: ({ paste, drops, components, pot, deltaE }, { said, paste: guess }) => {
    if (!guess || said.includes(null)) return { text: "Not judged yet.", figure: "Not judged yet" };
    const figure = guess === components[paste].id ? "Right:" : "No, it was this:";
    return {
      text: `${figure} ${plural(drops, "drop")} of ${components[paste].name} in ${pot} mL, a move of ΔE00 ${differenceText(deltaE)}.`,
      figure,
    };
  },
  summarise: ({ difference: apart, words, deltaE, paste, drops, components }) => ({
    words: words.map((word, axis) => stepText(stepOf(apart[axis]), word)),
    deltaE,
    dropped: components[paste].id,
    drops,
  }),
  quantities: ({ deltaE, drops }) => [
    difference("difference", "ΔE00 of the pair", deltaE),
    amount("drops", "drops that made it", drops, "", 0),
  ],
});

export default pairToJudge;

export type Said = v.InferOutput<typeof said>;
