import { percentText } from "../../src/graph/numbers.ts";
import { type LightBudget, lightBudget } from "../../src/optics/budget.ts";
import type { CoveragePart } from "../../src/ports/coverage.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { partNumbered, partParameter } from "../../src/ports/partParameter.ts";
import { amount, share } from "../../src/ports/quantities.ts";

/** Where the light goes in one painted part, with the basecoat and without it. */
export interface BudgetOfPart {
  readonly part: CoveragePart;
  readonly parts: readonly string[];
  readonly withBasecoat: LightBudget | undefined;
  readonly bare: LightBudget;
  readonly wavelength: number;
}

export const budget = defineCell({
  kind: "light-budget",
  label: "Light budget",
  about:
    "Where the light goes that has entered the film: what each layer and the part swallow, and what comes back, as shares of 1. " +
    "This is why a red over black looks dead.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  tells: ["light", "light at one wavelength"],
  parameters: {
    part: partParameter,
    wavelength: { type: "number", label: "Look at", unit: "nm", min: 380, max: 730, step: 10, initial: 630 },
  },
  compute: ({ coverage }, { part: number, wavelength }): BudgetOfPart => {
    const part = partNumbered(coverage, number);
    const { recipe, basecoat, viewing } = coverage;
    const colour = {
      absorption: recipe.absorption,
      scattering: recipe.scattering,
      dryThickness: part.painted.dryThickness,
    };
    const ground = part.substrate.internal;
    return {
      part,
      parts: coverage.parts.map((other) => other.substrate.name),
      withBasecoat: basecoat && lightBudget([colour, basecoat], ground, viewing.surface),
      bare: lightBudget([colour], ground, viewing.surface),
      wavelength,
    };
  },
  verdict: ({ wavelength, part, withBasecoat, bare }) => {
    const i = Math.round((wavelength - 380) / 10);
    const back = percentText(bare.reflected[i]);
    const figure = withBasecoat ? percentText(withBasecoat.reflected[i]) : back;
    return {
      text:
        (withBasecoat
          ? `At ${wavelength} nm ${figure} of the light that enters comes back with the basecoat, ${back} without it: `
          : `At ${wavelength} nm ${back} of the light that enters comes back without basecoat: `) +
        `${percentText(bare.substrate[i])} is swallowed by ${part.substrate.name} itself.`,
      figure,
    };
  },
  summarise: ({ part, withBasecoat, bare, wavelength }) => {
    const i = Math.round((wavelength - 380) / 10);
    const shares = (budget: LightBudget) => ({
      back: budget.reflected[i],
      layers: budget.layers.map((layer) => layer[i]),
      part: budget.substrate[i],
    });
    return {
      part: part.substrate.name,
      wavelength,
      withBasecoat: withBasecoat && shares(withBasecoat),
      bare: shares(bare),
    };
  },
  quantities: ({ part, withBasecoat, bare, wavelength }) => {
    const i = Math.round((wavelength - 380) / 10);
    const { name } = part.substrate;
    const painted = withBasecoat ?? bare;
    return [
      amount("wavelength", "wavelength looked at", wavelength, "nm", 0),
      share("back", "comes back, as painted", painted.reflected[i]),
      share("colour", "swallowed by the colour, as painted", painted.layers[0][i]),
      share("basecoat", "swallowed by the basecoat", painted.layers[1]?.[i] ?? 0),
      share("part", `swallowed by ${name}, as painted`, painted.substrate[i]),
      share("bare-back", "comes back, no basecoat", bare.reflected[i]),
      share("bare-colour", "swallowed by the colour, no basecoat", bare.layers[0][i]),
      share("bare-part", `swallowed by ${name}, no basecoat`, bare.substrate[i]),
    ];
  },
});

export default budget;
