import * as v from "valibot";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { shapeArea } from "../../src/job/shapes.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { type SpectrumParameter, spectrumSchema } from "../../src/ports/spectrum.ts";
import { type StatedLabParameter, statedLabSchema, surfaceQuestion } from "../../src/ports/statedLab.ts";
import type { Substrate } from "../../src/ports/substrate.ts";
import { swatchOfLab } from "../../src/ports/swatch.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { measureText } from "../../src/units/units.ts";
import { plural } from "../../src/words/plural.ts";
import { partColour } from "./model/colour.ts";

const lengthField = (label: string, initial: number) =>
  ({ type: "number", label, unit: "cm", min: 0.1, max: 100_000, step: 1, digits: 1, initial }) as const;

export const substrate = defineCell({
  kind: "substrate",
  label: "Part",
  about:
    "A kind of part to be coated: what colour it is now, its area in m² (or its measures) and how many there are. " +
    "A coat wets the surface, so the part's own surface reflection is taken off first.",
  inputs: {},
  output: "substrate",
  parameters: {
    spectrum: {
      type: "value",
      label: "Measured spectrum",
      schema: v.nullable(spectrumSchema),
      initial: null as SpectrumParameter | null,
    },
    Lab: {
      type: "value",
      label: "Known as Lab",
      help: "Gives the part the smoothest of the many curves with this Lab; how far that leaves the painted colour open is told.",
      schema: v.nullable(statedLabSchema),
      initial: null as StatedLabParameter | null,
    },
    grey: {
      type: "number",
      label: "Without a reading: a grey of",
      unit: "%",
      help: "Measured reflectance, surface reflection included: black plastic about 5, mid grey about 20, white about 85.",
      min: 4,
      max: 95,
      step: 1,
      initial: 5,
    },
    specular: surfaceQuestion,
    externalReflection: {
      type: "number",
      label: "Its surface reflection k1",
      min: 0,
      max: 0.2,
      step: 0.005,
      initial: 0.04,
    },
    internalReflection: {
      type: "number",
      label: "Its inner reflection k2",
      min: 0,
      max: 0.9,
      step: 0.01,
      initial: 0.6,
    },
    area: {
      type: "number",
      label: "Area of one",
      unit: "m²",
      min: 0.001,
      max: 1000,
      step: 0.01,
      digits: 3,
      initial: 0.5,
    },
    count: { type: "number", label: "How many", whole: true, min: 1, max: 10_000, step: 1, initial: 1 },
    shape: {
      type: "choice",
      label: "Measured as",
      options: [
        { value: "area", label: "its area" },
        { value: "rectangle", label: "a rectangle" },
        { value: "disc", label: "a disc" },
        { value: "cushion", label: "a cushion: top and four sides" },
        { value: "roll", label: "a roll, without its ends" },
      ],
      initial: "area",
    },
    width: lengthField("Width or diameter", 60),
    length: lengthField("Length", 60),
    height: lengthField("Height of the sides", 10),
    textureFactor: {
      type: "number",
      label: "Grain adds surface: times",
      help: "1 is smooth, 1.05 a fine grain, 1.2 a deep one (common practice).",
      min: 1,
      max: 3,
      step: 0.05,
      initial: 1,
    },
    material: {
      type: "text",
      label: "Material",
      help: "Such as vinyl or leather.",
      initial: "",
      maxLength: 60,
    },
    moreCoats: {
      type: "number",
      label: "Heavy coats beyond the plan",
      help: "For a part that needs more than the others, such as a black one.",
      whole: true,
      min: 0,
      max: 12,
      step: 1,
      initial: 0,
    },
    units: {
      type: "choice",
      label: "Sizes typed in",
      options: [
        { value: "metric", label: "m² and cm" },
        { value: "us", label: "ft² and in" },
      ],
      initial: "metric",
    },
  },
  compute: (_, p, { note, title }): Substrate => {
    const { internal, measured, fromLab } = partColour(p, note);
    const { shape, width, length, height } = p;
    const area =
      shape === "area"
        ? p.area
        : shapeArea(shape, { width: width / 100, length: length / 100, height: height / 100 });
    return {
      name: title,
      internal,
      measured,
      ...(fromLab ? { fromLab } : {}),
      area,
      count: p.count,
      textureFactor: p.textureFactor,
      material: p.material.trim(),
      ...(p.moreCoats > 0 ? { moreCoats: p.moreCoats } : {}),
    };
  },
  verdict: ({ measured, area, count, textureFactor, material, moreCoats = 0 }, { units }) => {
    const text = (square: number) => measureText(square, "area", units);
    const figure = text(area * count * textureFactor);
    const grain = textureFactor > 1 ? ` × ${textureFactor.toFixed(2)}` : "";
    const more = moreCoats > 0 ? `, ${plural(moreCoats, "heavy coat")} beyond the plan` : "";
    const weights = weightsFor("1964-10", "D65");
    return {
      text: `${count} × ${text(area)}${grain} = ${figure} to coat${material ? `, ${material}` : ""}${more}.`,
      figure,
      swatch: swatchOfLab(reflectanceToLab(measured, weights, new Float64Array(3)), weights),
    };
  },
  summarise: ({ measured, fromLab, area, count, textureFactor, material, moreCoats }) => ({
    measured: [...measured],
    ...(fromLab ? { curve: "smoothest" } : {}),
    area,
    count,
    textureFactor,
    material,
    ...(moreCoats ? { moreCoats } : {}),
  }),
});

export default substrate;
