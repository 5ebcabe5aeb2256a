import { loadedLater } from "../../src/graph/loadedLater.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { type CountedDrops, dropsSchema } from "../../src/ports/drops.ts";
import { partParameter } from "../../src/ports/partParameter.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import type { DropEffect } from "../../src/recipes/dropEffects.ts";
import type { OneDrop } from "./model/compute.ts";

export type { OneDrop } from "./model/compute.ts";

export const oneDrop = defineCell({
  kind: "one-drop",
  label: "One drop",
  about:
    "Where one drop of every paste moves the colour of the mix: L*, C* and hue, in figures, in words and as arrows on the " +
    "a*b* plane. A red has two ways out, yellower and bluer; every other move costs it strength.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  tells: ["drops"],
  parameters: {
    pot: {
      type: "number",
      label: "In the pot",
      unit: "mL",
      help: "The smaller the pot, the more a drop does.",
      min: 1,
      max: 10_000,
      step: 5,
      digits: 1,
      initial: 50,
    },
    part: partParameter,
    arrows: {
      type: "choice",
      label: "Arrows show",
      options: [
        { value: "step", label: "drops for one step (ΔE00 1)" },
        { value: "drop", label: "one drop each" },
      ],
      initial: "step",
    },
    drops: { type: "value", label: "Drops to the mL", schema: dropsSchema, initial: [] as CountedDrops },
  },
  // The model of the mix is loaded with the first such cell, so that the page starts without it.
  compute: loadedLater(async () => (await import("./model/compute.ts")).compute),
  verdict: (value: OneDrop) => {
    const { Lab, effects, components, pot } = value;
    const [yellower, bluer] = [wayOut(value, 1), wayOut(value, -1)];
    const nameOf = ({ component }: DropEffect) => components[component].name;
    if (Lab[1] > 0 && Lab[1] > Math.abs(Lab[2]) * 0.6 && yellower && bluer) {
      return {
        text:
          `This red has two ways out that cost least strength: yellower with ${nameOf(yellower)}, bluer with ${nameOf(bluer)}. ` +
          `One drop turns the hue by ${signed(yellower.hue)}° or ${signed(bluer.hue)}°.`,
        figure: `${nameOf(yellower)}, bluer with ${nameOf(bluer)}`,
      };
    }
    const most = effects.reduce((a, b) => (b.difference > a.difference ? b : a));
    const figure = `ΔE00 ${differenceText(most.difference)}`;
    return {
      text: `${nameOf(most)} moves it most: one drop in ${pot} mL by ${figure}, ${most.words}.`,
      figure,
    };
  },
  summarise: ({ effects, components, part }: OneDrop) => ({
    part,
    drops: effects.map(({ component, lightness, chroma, hue, difference, words }) => ({
      name: components[component].name,
      lightness,
      chroma,
      hue,
      difference,
      words,
    })),
  }),
  quantities: ({ effects, components, pot }: OneDrop) => [
    amount("pot", "in the pot", pot, "mL"),
    ...effects.flatMap((effect) => {
      const { id, name } = components[effect.component];
      return [
        amount(`lightness-${id}`, `change of L* by a drop of ${name}`, effect.lightness, "", 2),
        amount(`chroma-${id}`, `change of C* by a drop of ${name}`, effect.chroma, "", 2),
        amount(`hue-${id}`, `change of hue by a drop of ${name}`, effect.hue, "°", 2),
        difference(`difference-${id}`, `move (ΔE00) by a drop of ${name}`, effect.difference),
      ];
    }),
  ],
});

export default oneDrop;

/** The paste that turns the hue to one side (+1 yellower for a red) and costs least strength for it. */
function wayOut({ effects, components, Lab }: OneDrop, side: number): DropEffect | undefined {
  const chroma = Math.hypot(Lab[1], Lab[2]);
  const turning = effects.filter(({ component, hue, difference }) => {
    const turn = (side * hue * Math.PI * chroma) / 180;
    return components[component].role === "paste" && difference > 0 && turn > 0.4 * difference;
  });
  const kept = (effect: DropEffect) => effect.chroma / effect.difference;
  return turning.reduce<DropEffect | undefined>(
    (best, effect) => (best && kept(best) >= kept(effect) ? best : effect),
    undefined,
  );
}

/** With its sign. */
export const signed = (value: number, digits = 2) =>
  `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(digits)}`;
