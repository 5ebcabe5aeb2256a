import * as v from "valibot";
import { defineCell } from "../../src/graph/defineCell.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { onWorkingGrid, type SpectrumParameter, spectrumSchema } from "../../src/ports/spectrum.ts";
import type { Target } from "../../src/ports/target.ts";
import { illuminantNames, labelOfIlluminant } from "../../src/tables/illuminants.ts";

export const target = defineCell<Record<never, never>>()({
  kind: "target",
  label: "Target",
  about:
    "The colour to reach: best measured on a spot that never saw the sun, such as the underside of a seat pad. " +
    "A spectrum (0 to 1) says most; a Lab reading works as well.",
  source: "CIE 15:2018; specular included or excluded as in Saunderson 1942",
  inputs: {},
  output: "target",
  parameters: {
    source: {
      type: "choice",
      label: "Known as",
      options: [
        { value: "spectrum", label: "A measured spectrum" },
        { value: "lab", label: "A Lab reading" },
      ],
      initial: "spectrum",
    },
    spectrum: {
      type: "value",
      label: "Spectrum",
      schema: v.nullable(spectrumSchema),
      initial: null as SpectrumParameter | null,
    },
    L: { type: "number", label: "L*", min: 0, max: 100, step: 0.1, digits: 2, initial: 40 },
    a: { type: "number", label: "a*", min: -128, max: 128, step: 0.1, digits: 2, initial: 50 },
    b: { type: "number", label: "b*", min: -128, max: 128, step: 0.1, digits: 2, initial: 30 },
    illuminant: {
      type: "choice",
      label: "Read under",
      options: illuminantNames.map((name) => ({ value: name, label: labelOfIlluminant(name) })),
      initial: "D65",
    },
    observer: {
      type: "choice",
      label: "Observer of the reading",
      options: [
        { value: "1964-10", label: "10°" },
        { value: "1931-2", label: "2°" },
      ],
      initial: "1964-10",
    },
    specular: {
      type: "choice",
      label: "Surface reflection",
      options: [
        { value: "included", label: "included (sphere, SCI)" },
        { value: "excluded", label: "excluded (45/0 or SCE)" },
      ],
      initial: "included",
    },
  },
  compute: (_, p, { note, title }): Target => {
    if (p.source === "lab") {
      return {
        kind: "lab",
        label: title,
        Lab: Float64Array.of(p.L, p.a, p.b),
        observer: p.observer,
        illuminant: p.illuminant,
        specular: p.specular,
      };
    }
    if (!p.spectrum) {
      throw new InputError("No spectrum is loaded", {
        field: "spectrum",
        wayOut: "Drop a CSV file here, or type a Lab reading",
      });
    }
    const reflectance = onWorkingGrid(p.spectrum, note);
    const lowest = Math.min(...reflectance);
    if (p.specular === "included" && lowest < 0.035) {
      note(
        `The lowest value is ${(100 * lowest).toFixed(1)} %: with the surface reflection included a smooth surface ` +
          "gives about 4 % or more. Was it measured with the reflection excluded?",
      );
    }
    return { kind: "spectrum", label: title, reflectance, specular: p.specular };
  },
  view: () => import("./view.ts"),
  summarise: (value) =>
    value.kind === "lab"
      ? {
          Lab: [...value.Lab],
          observer: value.observer,
          illuminant: value.illuminant,
          specular: value.specular,
        }
      : { reflectance: [...value.reflectance], specular: value.specular },
});
