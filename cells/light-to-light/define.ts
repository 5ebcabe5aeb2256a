import { type EyeConditions, type Seen, seenFromMeasured } from "../../src/coating/eye.ts";
import { deltaE2000, differenceOf } from "../../src/colour/difference.ts";
import { metamerismIndexOfReflectance } from "../../src/colour/metamerism.ts";
import { tradeWords } from "../../src/colour/tradeWords.ts";
import type { TristimulusWeights } from "../../src/colour/weights.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { partNumbered, partParameter } from "../../src/ports/partParameter.ts";
import { difference } from "../../src/ports/quantities.ts";
import { swatchOf } from "../../src/ports/swatch.ts";
import { labelOfIlluminant } from "../../src/tables/illuminants.ts";

interface UnderLight {
  readonly label: string;
  readonly weights: TristimulusWeights;
  readonly target: Seen;
  readonly sample: Seen;
  readonly difference: number;
  /** Special metamerism index against the main light, ΔE00; undefined in the main light. */
  readonly index: number | undefined;
}

/** One painted part beside its target, in every light. */
export interface FromLightToLight {
  readonly coverage: Coverage;
  readonly part: string;
  readonly lights: readonly UnderLight[];
}

export const lightToLight = defineCell({
  kind: "light-to-light",
  label: "From light to light",
  about:
    "The painted part beside the target in the main light and in every other light of the viewing cell. " +
    "The index (ΔE00) tells how far two colours that match in the main light part in another.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  tells: ["lights", "colour"],
  parameters: {
    part: partParameter,
  },
  compute: ({ coverage }, { part: number }, { note }): FromLightToLight => {
    const { viewing, target, targetSeen } = coverage;
    const part = partNumbered(coverage, number);
    const reflectance = target?.kind === "lab" ? target.curve?.reflectance : target?.reflectance;
    if (!target || !targetSeen || !reflectance) {
      throw new InputError("The target has no curve, so its colour in other lights is not known", {
        field: "coverage",
        wayOut: "Measure a spectrum of the target, or choose a curve for other lights in the target cell",
      });
    }
    if (target.kind === "lab" && target.curve) {
      const widest = target.curve.lights.reduce((most, { ninety }) => Math.max(most, ninety), 0);
      note(
        "The target is known as Lab alone: its curve is one of many, and in another light it may look " +
          `ΔE00 ${widest.toFixed(1)} different from what is shown (nine of ten curves)`,
      );
    }
    const formula = differenceOf(viewing.formula);
    const main = viewing.weights;
    const all = [main, ...viewing.others.map((other) => other.weights)];
    if (all.length === 1) note("The viewing cell names no other light");
    const seen =
      targetSeen.reflectance ??
      seenFromMeasured(reflectance, target.specular, {
        weights: main,
        surface: viewing.surface,
        sheen: viewing.sheen,
      }).reflectance;
    return {
      coverage,
      part: part.substrate.name,
      lights: all.map((weights, index) => {
        const conditions = { weights, surface: viewing.surface, sheen: viewing.sheen };
        const sample = seenUnder(part.painted.reflectance, conditions);
        const reference = seenFromMeasured(reflectance, target.specular, conditions);
        return {
          label: labelOfIlluminant(weights.illuminant),
          weights,
          target: reference,
          sample,
          difference: formula(reference.Lab, sample.Lab),
          index:
            index === 0
              ? undefined
              : metamerismIndexOfReflectance(seen, part.painted.reflectance, main, weights, deltaE2000).index,
        };
      }),
    };
  },
  verdict: ({ part, lights, coverage: { viewing } }) => {
    const worst = lights.reduce((a, b) => (b.difference > a.difference ? b : a));
    const figure = `${viewing.formula} ${differenceText(worst.difference)}`;
    return {
      text:
        worst.difference <= viewing.tolerance
          ? `${part} passes in every light; the worst is ${worst.label} with ${figure}.`
          : `${part} misses in ${worst.label}: ${figure}, ${tradeWords(worst.target.Lab, worst.sample.Lab).text}.`,
      figure,
      swatch: swatchOf(worst.sample.XYZ, { weights: worst.weights, gamut: viewing.gamut }),
    };
  },
  summarise: ({ part, lights }) => ({
    part,
    lights: lights.map(({ label, difference, index }) => ({
      light: label,
      difference,
      metamerismIndex: index,
    })),
  }),
  quantities: ({ lights }) =>
    lights.flatMap((light) => [
      difference(
        `difference-${light.weights.illuminant}`,
        `difference under ${light.label}`,
        light.difference,
      ),
      ...(light.index === undefined
        ? []
        : [
            difference(
              `index-${light.weights.illuminant}`,
              `metamerism index under ${light.label}`,
              light.index,
            ),
          ]),
    ]),
});

export default lightToLight;

/** A seen reflectance under another light: it already carries its sheen. */
function seenUnder(reflectance: Float64Array, conditions: EyeConditions): Seen {
  return seenFromMeasured(reflectance, "included", { ...conditions, sheen: 1 });
}
