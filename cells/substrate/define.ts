import * as v from "valibot";
import { measureText } from "../../src/coating/units.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { blaming, InputError } from "../../src/graph/outcome.ts";
import { shapeArea } from "../../src/job/shapes.ts";
import { internalFromMeasured, toMeasured } from "../../src/optics/interface.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { onWorkingGrid, type SpectrumParameter, spectrumSchema } from "../../src/ports/spectrum.ts";
import { specularParameter } from "../../src/ports/specularParameter.ts";
import type { Substrate } from "../../src/ports/substrate.ts";
import { swatchOfLab } from "../../src/ports/swatch.ts";
import { weightsFor } from "../../src/tables/weights.ts";

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
    grey: {
      type: "number",
      label: "Without a spectrum: a grey of",
      unit: "%",
      help: "Measured reflectance, surface reflection included: black plastic about 5, mid grey about 20, white about 85.",
      min: 4,
      max: 95,
      step: 1,
      initial: 5,
    },
    specular: specularParameter,
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
    const { externalReflection: k1, internalReflection: k2 } = p;
    if (!p.spectrum && p.grey / 100 < k1) {
      throw new InputError(
        `A grey of ${p.grey} % is darker than its own surface reflection of ${100 * k1} %`,
        {
          field: "grey",
          wayOut: "Raise the grey or lower k1",
        },
      );
    }
    const { spectrum } = p;
    const measuredBy = spectrum
      ? { field: "spectrum", wayOut: "Measure it again, or describe the part as a grey" }
      : { field: "grey", wayOut: "Change the grey, or k1 and k2" };
    const surface = {
      field: "externalReflection",
      wayOut: "Lower k1, raise k2, or say whether the surface reflection is in the reading",
    };
    const given = blaming(measuredBy, () =>
      spectrum ? onWorkingGrid(spectrum, note) : new Float64Array(36).fill(p.grey / 100),
    );
    const { values, notes } = blaming(surface, () =>
      internalFromMeasured(given, k1, k2, spectrum ? p.specular : "included"),
    );
    for (const text of notes) note(text);
    const low = values.findIndex((value) => value < 0);
    if (low >= 0) {
      throw new InputError(
        `At ${380 + 10 * low} nm the part measures ${(100 * given[low]).toFixed(2)} %, less than its surface reflection of ${100 * k1} %`,
        { field: "specular", wayOut: "Say that the surface reflection is excluded, or lower k1" },
      );
    }
    const measured = blaming(measuredBy, () => values.map((value) => toMeasured(value, k1, k2, "included")));
    const { shape, width, length, height } = p;
    const area =
      shape === "area"
        ? p.area
        : shapeArea(shape, { width: width / 100, length: length / 100, height: height / 100 });
    return {
      name: title,
      internal: values,
      measured,
      area,
      count: p.count,
      textureFactor: p.textureFactor,
      material: p.material.trim(),
    };
  },
  verdict: ({ measured, area, count, textureFactor, material }, { units }) => {
    const text = (square: number) => measureText(square, "area", units);
    const figure = text(area * count * textureFactor);
    const grain = textureFactor > 1 ? ` × ${textureFactor.toFixed(2)}` : "";
    const weights = weightsFor("1964-10", "D65");
    return {
      text: `${count} × ${text(area)}${grain} = ${figure} to coat${material ? `, ${material}` : ""}.`,
      figure,
      swatch: swatchOfLab(reflectanceToLab(measured, weights, new Float64Array(3)), weights),
    };
  },
  summarise: ({ measured, area, count, textureFactor, material }) => ({
    measured: [...measured],
    area,
    count,
    textureFactor,
    material,
  }),
});

export default substrate;
