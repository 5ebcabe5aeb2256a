import { coatsOf } from "../../src/coating/thickness.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { type ColourCoats, commonWet } from "../../src/ports/coatPlan.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { measureText } from "../../src/units/units.ts";
import { plural } from "../../src/words/plural.ts";

export const coatPlan = defineCell({
  kind: "coat-plan",
  label: "Coat plan",
  about:
    "How the colour is laid: thin first passes that grip, then fuller ones, each in µm of wet film. " +
    "Everything that needs the film thickness follows from here; a part that needs more coats says so in its own cell.",
  inputs: {},
  output: "coat-plan",
  parameters: {
    lightCoats: {
      type: "number",
      label: "Light coats first",
      whole: true,
      min: 0,
      max: 12,
      step: 1,
      initial: 2,
    },
    heavyCoats: {
      type: "number",
      label: "Then heavy coats",
      whole: true,
      min: 0,
      max: 12,
      step: 1,
      initial: 2,
    },
    lightWet: { type: "number", label: "Light coat", unit: "µm wet", min: 3, max: 60, step: 1, initial: 15 },
    heavyWet: { type: "number", label: "Heavy coat", unit: "µm wet", min: 5, max: 120, step: 1, initial: 30 },
  },
  compute: (_, plan, { note, id }): ColourCoats => {
    const coats = coatsOf(plan);
    if (coats.length === 0) {
      throw new InputError("The plan has no coats", {
        field: "heavyCoats",
        wayOut: "Ask for at least one coat",
      });
    }
    if (plan.lightCoats === 0)
      note("Without a light first coat the film may run or grip badly (common practice)");
    if (plan.lightWet > plan.heavyWet) note("The light coats are thicker than the heavy ones");
    return {
      cell: id,
      lightWet: plan.lightWet,
      heavyWet: plan.heavyWet,
      coats,
      wetThicknesses: Float64Array.from(coats, (coat) => coat.wetThickness),
    };
  },
  verdict: (plan, _, units) => {
    const { coats, lightWet, heavyWet } = plan;
    const film = (wet: number) =>
      units === "metric" ? `${Number(wet.toFixed(1))} µm` : measureText(wet, "thickness", units);
    const laid = (
      [
        ["light", lightWet],
        ["heavy", heavyWet],
      ] as const
    ).flatMap(([kind, wet]) => {
      const count = coats.filter((coat) => coat.kind === kind).length;
      return count > 0 ? [`${plural(count, `${kind} coat`)} of ${film(wet)}`] : [];
    });
    const figure = `${film(commonWet(plan))} wet`;
    return { text: `${laid.join(", then ")}: ${figure}.`, figure };
  },
  summarise: ({ coats }) => ({ coats: coats.map((coat) => `${coat.kind} ${coat.wetThickness} µm wet`) }),
});

export default coatPlan;
