import * as v from "valibot";
import type { ObserverName } from "../../src/colour/observer.ts";
import { differenceText, LabText } from "../../src/graph/numbers.ts";
import { circlesSchema, type KeptCircle, type KeptPhoto, pictureSchema } from "../../src/photo/keptPhoto.ts";
import { curveParameter } from "../../src/ports/curveParameter.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { colourQuantities, difference } from "../../src/ports/quantities.ts";
import { swatchOfLab } from "../../src/ports/swatch.ts";
import { labelOfIlluminant, lightOptions } from "../../src/tables/illuminants.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { photoTarget } from "./model/reading.ts";

export const photo = defineCell({
  kind: "photo",
  label: "Colour from a photograph",
  about:
    "A target read from a photograph of the part beside a grey card, or beside patches of known colour. " +
    "The picture stays on your own machines; the answer is a Lab with an honest ΔE00 within which the true colour lies.",
  inputs: { pigments: { type: "pigment-set", label: "Pastes for a curve from Lab", optional: true } },
  output: "target",
  parameters: {
    picture: {
      type: "value",
      label: "Photograph",
      schema: v.nullable(pictureSchema),
      initial: null as KeptPhoto | null,
    },
    circles: {
      type: "value",
      label: "Circles",
      schema: circlesSchema,
      initial: [] as KeptCircle[],
    },
    cardL: {
      type: "number",
      label: "L* of the grey card",
      help: "49.5 for a card of 18 % reflectance. Your card's own reading is better.",
      min: 5,
      max: 99,
      step: 0.1,
      digits: 1,
      initial: 49.5,
    },
    cardA: { type: "number", label: "a* of it", min: -20, max: 20, step: 0.1, digits: 1, initial: 0 },
    cardB: { type: "number", label: "b* of it", min: -20, max: 20, step: 0.1, digits: 1, initial: 0 },
    scene: {
      type: "choice",
      label: "Photographed in",
      help: "Known light makes the answer surer. Daylight at a window, without lamps, counts as D65.",
      options: [{ value: "unknown", label: "I do not know" }, ...lightOptions],
      initial: "unknown",
    },
    illuminant: {
      type: "choice",
      label: "Give the colour under",
      help: "Also the light for which the known colours of patches are stated.",
      options: lightOptions,
      initial: "D65",
    },
    observer: {
      type: "choice",
      label: "Observer",
      options: [
        { value: "1964-10", label: "10°" },
        { value: "1931-2", label: "2°" },
      ],
      initial: "1964-10",
    },
    specular: {
      type: "choice",
      label: "Surface reflection",
      help: "A photograph taken off the highlight does not see it. Known colours of patches must be read the same way.",
      options: [
        { value: "excluded", label: "excluded (no highlight on the circles)" },
        { value: "included", label: "included (matt, or lit from all sides)" },
      ],
      initial: "excluded",
    },
    curve: curveParameter,
  },
  compute: ({ pigments }, p, context) => photoTarget(p, pigments, context),
  verdict: ({ Lab, illuminant, observer, doubt, photo: report }) => {
    const { parts, statistics } = report;
    const several = parts.length - statistics.outliers.length;
    const figure = parts.some(({ beyondSpace }) => beyondSpace)
      ? `in doubt by ΔE00 ${doubt.toFixed(1)} or more`
      : `likely within ΔE00 ${doubt.toFixed(1)}`;
    const rest = figure.startsWith("in doubt")
      ? ", for it may be more saturated than this picture can hold."
      : " of the true colour.";
    const mean =
      several > 1
        ? ` Mean of ${several} circles, MCDM ΔE00 ${differenceText(statistics.meanDifference)}.`
        : "";
    const light = `${labelOfIlluminant(illuminant)}, ${observer === "1931-2" ? "2°" : "10°"}`;
    return {
      text: `${LabText(Lab)} in ${light}: ${figure}${rest}${mean}`,
      figure,
      swatch: swatchOfLab(Lab, weightsFor(observer as ObserverName, illuminant)),
    };
  },
  summarise: ({ Lab, observer, illuminant, specular, doubt, photo: report }) => ({
    Lab: [...Lab],
    observer,
    illuminant,
    specular,
    likelyWithin: doubt,
    model: report.model,
    patches: report.residuals.map(({ label, deltaE, deltaEWithout }) => ({
      label,
      deltaE,
      deltaEWithout: deltaEWithout ?? null,
    })),
    parts: report.parts.map(({ label, Lab: own }) => ({ label, Lab: [...own] })),
  }),
  quantities: (value) => [
    ...colourQuantities("", "the photographed part", value.Lab),
    difference("doubt", "ΔE00 within which the true colour lies (nine of ten)", value.doubt),
  ],
});

export default photo;
