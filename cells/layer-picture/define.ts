import { workingGrid } from "../../src/colour/grid.ts";
import { percentText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { BudgetLayer } from "../../src/optics/budget.ts";
import { type LayerPath, lightPaths } from "../../src/optics/lightPaths.ts";
import type { Coverage, CoveragePart } from "../../src/ports/coverage.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { amount, share } from "../../src/ports/quantities.ts";

/** One layer of the section with what light of the chosen wavelength does in it. */
export interface SectionLayer extends LayerPath {
  readonly label: string;
  readonly role: "colour" | "basecoat" | "part";
  /** µm; 0 for the part, which goes on. */
  readonly dryThickness: number;
}

/** A cut through a painted part, top to bottom. */
export interface Section {
  readonly layers: readonly SectionLayer[];
  /** Share of the light that has entered and comes back. */
  readonly back: number;
}

/** A share in per cent, to a tenth where it is small. */
const shareWords = (part: number) => percentText(Math.max(0, part), part < 0.0995 ? 1 : 0);

interface Film {
  readonly film: BudgetLayer;
  readonly label: string;
  readonly role: "colour" | "basecoat";
}

/** The film on a part as a cross-section, with the basecoat and without it. */
export interface LayerPicture {
  readonly coverage: Coverage;
  readonly part: CoveragePart;
  readonly parts: readonly string[];
  readonly wavelength: number;
  readonly withBasecoat: Section | undefined;
  readonly bare: Section;
}

export const layerPicture = defineCell({
  kind: "layer-picture",
  label: "Layer picture",
  about:
    "A cut through the painted part, to the scale of dry µm, with light of one wavelength as rays. " +
    "A ray is as wide as its share of the light that has entered: some is swallowed, some turns back.",
  inputs: { coverage: { type: "coverage", label: "Coverage" } },
  tells: ["light at one wavelength"],
  parameters: {
    part: {
      type: "number",
      label: "Part",
      help: "Its place among the parts of the coverage cell, counted from 1.",
      whole: true,
      min: 1,
      max: 64,
      step: 1,
      initial: 1,
    },
    wavelength: {
      type: "number",
      label: "Wavelength of the light",
      unit: "nm",
      min: workingGrid.start,
      max: workingGrid.end,
      step: workingGrid.step,
      initial: 630,
    },
  },
  compute: ({ coverage }, { part: number, wavelength }): LayerPicture => {
    const part = coverage.parts[number - 1];
    if (!part) {
      throw new InputError(
        `There is no part number ${number}: the coverage cell has ${coverage.parts.length}`,
        { field: "part", wayOut: `Choose 1 to ${coverage.parts.length}` },
      );
    }
    const { recipe, basecoat, viewing } = coverage;
    const index = Math.round((wavelength - workingGrid.start) / workingGrid.step);
    const colour: Film = {
      film: { ...recipe, dryThickness: part.painted.dryThickness },
      label: "Colour",
      role: "colour",
    };
    const section = (films: readonly Film[]): Section => {
      const paths = lightPaths(
        films.map(({ film }) => film),
        part.substrate.internal,
        viewing.surface,
        index,
      );
      const layers = paths.map((path, depth): SectionLayer => {
        const { film, label, role } = films[depth] ?? {
          film: { dryThickness: 0 },
          label: part.substrate.name,
          role: "part",
        };
        return { ...path, label, role, dryThickness: film.dryThickness };
      });
      return { layers, back: layers.reduce((sum, { turned }) => sum + turned, 0) };
    };
    return {
      coverage,
      part,
      parts: coverage.parts.map((other) => other.substrate.name),
      wavelength: workingGrid.start + index * workingGrid.step,
      withBasecoat: basecoat && section([colour, { film: basecoat, label: "Basecoat", role: "basecoat" }]),
      bare: section([colour]),
    };
  },
  verdict: ({ wavelength, withBasecoat, bare, part }) => {
    const [colour] = bare.layers;
    const under = bare.layers[bare.layers.length - 1];
    const why =
      under.swallowed > colour.swallowed
        ? `Without basecoat ${shareWords(under.swallowed)} is swallowed by ${part.substrate.name}: the colour lets this light through.`
        : `The colour itself swallows ${shareWords(colour.swallowed)}, whatever lies below.`;
    const figure = shareWords((withBasecoat ?? bare).back);
    return {
      text:
        (withBasecoat
          ? `At ${wavelength} nm ${figure} of the light that enters comes back with the basecoat and ${shareWords(bare.back)} without it. `
          : `At ${wavelength} nm ${figure} of the light that enters comes back. `) + why,
      figure,
    };
  },
  summarise: ({ part, wavelength, withBasecoat, bare }) => ({
    part: part.substrate.name,
    wavelength,
    withBasecoat: withBasecoat && plain(withBasecoat),
    bare: plain(bare),
  }),
  quantities: ({ wavelength, withBasecoat, bare }) => [
    amount("wavelength", "wavelength of the light", wavelength, "nm", 0),
    ...sectionQuantities(withBasecoat ?? bare, "", ", as painted"),
    share("basecoat-swallowed", "swallowed by the basecoat", basecoatOf(withBasecoat)?.swallowed ?? 0),
    share("basecoat-turned", "turned back by the basecoat", basecoatOf(withBasecoat)?.turned ?? 0),
    ...sectionQuantities(bare, "bare-", ", no basecoat"),
  ],
});

export default layerPicture;

function plain({ layers, back }: Section) {
  return {
    back,
    layers: layers.map(({ label, dryThickness, swallowed, turned }) => ({
      label,
      dryThickness,
      swallowed,
      turned,
    })),
  };
}

function sectionQuantities({ layers, back }: Section, prefix: string, words: string) {
  return [
    share(`${prefix}back`, `comes back${words}`, back),
    ...layers
      .filter(({ role }) => role !== "basecoat")
      .flatMap(({ role, label, swallowed, turned }) => [
        share(`${prefix}${role}-swallowed`, `swallowed by ${label}${words}`, swallowed),
        share(`${prefix}${role}-turned`, `turned back by ${label}${words}`, turned),
      ]),
  ];
}

function basecoatOf(section: Section | undefined) {
  return section?.layers.find(({ role }) => role === "basecoat");
}
