import * as v from "valibot";
import {
  type KeptBands,
  type KeptColours,
  type KeptDrawdowns,
  keptBandsSchema,
  keptColoursSchema,
  keptDrawdownsSchema,
} from "../../../src/drawdowns/keptTable.ts";
import type { ParameterSpecs } from "../../../src/graph/parameters.ts";
import { lightOptions } from "../../../src/tables/illuminants.ts";

/** What a calibration cell keeps: both kinds of tables, the paste, and how it is computed. */
export const parameters = {
  source: {
    type: "choice",
    label: "Measured as",
    options: [
      { value: "spectra", label: "spectra" },
      { value: "colours", label: "colours only (Lab, or from a photograph)" },
    ],
    initial: "spectra",
  },
  drawdowns: {
    type: "value",
    label: "Drawdowns",
    schema: v.nullable(keptDrawdownsSchema),
    initial: null as KeptDrawdowns | null,
  },
  colours: {
    type: "value",
    label: "Drawdowns, colours only",
    schema: v.nullable(keptColoursSchema),
    initial: null as KeptColours | null,
  },
  readIlluminant: {
    type: "choice",
    label: "Colours read under",
    options: lightOptions,
    initial: "D65",
  },
  readObserver: {
    type: "choice",
    label: "Observer of the colours",
    options: [
      { value: "1964-10", label: "10°" },
      { value: "1931-2", label: "2°" },
    ],
    initial: "1964-10",
  },
  colourError: {
    type: "number",
    label: "Error of one colour, 1σ",
    unit: "each of L*, a*, b*",
    help: "About 0.3 for a hand-held sensor, 1.5 or more for a photograph (common practice).",
    min: 0.05,
    max: 10,
    step: 0.1,
    digits: 2,
    initial: 0.5,
  },
  name: { type: "text", label: "Name of the paste", initial: "New paste", maxLength: 120 },
  colourIndex: { type: "text", label: "Colour Index name, if known", initial: "", maxLength: 40 },
  density: {
    type: "number",
    label: "Density",
    unit: "g/mL",
    min: 0.5,
    max: 6,
    step: 0.01,
    digits: 2,
    initial: 1.1,
  },
  volumeSolids: {
    type: "number",
    label: "Volume solids",
    unit: "%",
    min: 1,
    max: 100,
    step: 1,
    initial: 30,
  },
  by: { type: "text", label: "Measured by", initial: "", maxLength: 120 },
  when: { type: "text", label: "Measured on", initial: "", maxLength: 40 },
  noise: {
    type: "number",
    label: "Noise of one reading",
    unit: "% reflectance",
    help: "About 0.2 % for a hand-held instrument on a drawdown (common practice).",
    min: 0.01,
    max: 5,
    step: 0.05,
    digits: 2,
    initial: 0.2,
  },
  externalReflection: {
    type: "number",
    label: "Surface reflection k1",
    min: 0,
    max: 0.2,
    step: 0.005,
    initial: 0.04,
  },
  internalReflection: {
    type: "number",
    label: "Inner reflection k2",
    min: 0,
    max: 0.9,
    step: 0.01,
    initial: 0.6,
  },
  estimateK2: {
    type: "toggle",
    label: "Find k2 from the data as well",
    help: "Only with several thicknesses over both grounds.",
    initial: false,
  },
  smooth: {
    type: "choice",
    label: "Smooth along the spectrum",
    options: [
      { value: "none", label: "no: every wavelength by itself" },
      { value: "cross-validated", label: "yes, as much as the data bear" },
    ],
    initial: "none",
  },
  outliers: {
    type: "choice",
    label: "Drawdowns that contradict all others",
    options: [
      { value: "set aside", label: "are set aside and named" },
      { value: "keep", label: "are used all the same" },
    ],
    initial: "set aside",
  },
  compareWith: { type: "text", label: "Compare with", initial: "", maxLength: 64 },
  refits: {
    type: "value",
    label: "Bands from refits",
    schema: v.nullable(keptBandsSchema),
    initial: null as KeptBands | null,
  },
} as const satisfies ParameterSpecs;
