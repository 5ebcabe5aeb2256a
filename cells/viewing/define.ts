import * as v from "valibot";
import type { DifferenceFormula } from "../../src/colour/difference.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import { illuminantNames, labelOfIlluminant, lightOptions } from "../../src/tables/illuminants.ts";
import { weightsFor } from "../../src/tables/weights.ts";

const formulas: { value: DifferenceFormula; label: string }[] = [
  { value: "ΔE00", label: "CIEDE2000 (ΔE00)" },
  { value: "ΔE*ab", label: "CIELAB 1976 (ΔE*ab)" },
  { value: "ΔE94", label: "CIE94 (ΔE94)" },
  { value: "CMC(2:1)", label: "CMC (2:1)" },
  { value: "CMC(1:1)", label: "CMC (1:1)" },
];

export const viewing = defineCell({
  kind: "viewing",
  label: "Viewing",
  about:
    "The light, the observer and the sheen under which colours are compared, and the largest difference that passes. " +
    "Judge a match in the shop's light and outside: both lights can be named here.",
  inputs: {},
  output: "viewing",
  parameters: {
    illuminant: { type: "choice", label: "Main light", options: lightOptions, initial: "D65" },
    observer: {
      type: "choice",
      label: "Observer",
      options: [
        { value: "1964-10", label: "CIE 1964, 10° (a panel in the hand)" },
        { value: "1931-2", label: "CIE 1931, 2° (a small spot)" },
      ],
      initial: "1964-10",
    },
    otherLights: {
      type: "value",
      label: "Other lights",
      help: "Lights under which the match is checked as well, each with a weight.",
      schema: v.pipe(
        v.array(
          v.strictObject({
            illuminant: v.string(),
            weight: v.pipe(v.number(), v.minValue(0), v.maxValue(10)),
          }),
        ),
        v.maxLength(6, "at most 6 other lights"),
      ),
      initial: [
        { illuminant: "A", weight: 0.3 },
        { illuminant: "FL11", weight: 0.3 },
      ],
    },
    sheen: {
      type: "number",
      label: "Sheen seen",
      help: "0: gloss seen off its highlight. 1: dead matt, the whole surface reflection greys the colour.",
      min: 0,
      max: 1,
      step: 0.05,
      initial: 0.25,
    },
    externalReflection: {
      type: "number",
      label: "Surface reflection k1",
      help: "Share of light that the surface reflects from outside. 0.04 belongs to a refractive index of 1.5.",
      min: 0,
      max: 0.2,
      step: 0.005,
      initial: 0.04,
    },
    internalReflection: {
      type: "number",
      label: "Inner reflection k2",
      help: "Share of light that the surface throws back into the film. 0.4 to 0.6 is usual.",
      min: 0,
      max: 0.9,
      step: 0.01,
      initial: 0.6,
    },
    formula: { type: "choice", label: "Difference", options: formulas, initial: "ΔE00" },
    tolerance: {
      type: "number",
      label: "Passes up to",
      help: "1 is just noticeable side by side, 2 is visible (common practice).",
      min: 0.1,
      max: 10,
      step: 0.1,
      initial: 1,
    },
    gamut: {
      type: "choice",
      label: "Screen",
      options: [
        { value: "srgb", label: "sRGB (most screens)" },
        { value: "p3", label: "Display P3 (wide)" },
      ],
      initial: "srgb",
    },
  },
  compute: (_, p, { note }): Viewing => {
    const main = weightsFor(p.observer, p.illuminant);
    const others = p.otherLights.map(({ illuminant, weight }) => {
      if (!illuminantNames.includes(illuminant)) {
        throw new InputError(`Other lights: there is no light called "${illuminant}"`, {
          field: "otherLights",
          wayOut: `Choose among ${illuminantNames.slice(0, 8).join(", ")} …`,
        });
      }
      return { weights: weightsFor(p.observer, illuminant), weight };
    });
    if (others.some(({ weights }) => weights.illuminant === main.illuminant)) {
      note("The main light is among the other lights as well: its match counts twice");
    }
    return {
      weights: main,
      others,
      sheen: p.sheen,
      surface: { externalReflection: p.externalReflection, internalReflection: p.internalReflection },
      formula: p.formula,
      tolerance: p.tolerance,
      gamut: p.gamut,
    };
  },
  verdict: ({ weights, others, formula, tolerance }) => {
    const figure = `${formula} ${tolerance}`;
    const light = `${labelOfIlluminant(weights.illuminant)}, ${weights.observer === "1931-2" ? "2°" : "10°"}`;
    const more = others.map((other) => labelOfIlluminant(other.weights.illuminant)).join(" and ");
    return { text: `${light}; passes up to ${figure}.${more ? ` Also looked at in ${more}.` : ""}`, figure };
  },
  summarise: ({ weights, others, sheen, formula, tolerance }) => ({
    light: weights.illuminant,
    observer: weights.observer,
    others: others.map((other) => other.weights.illuminant),
    sheen,
    formula,
    tolerance,
  }),
});

export default viewing;
