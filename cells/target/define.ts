import * as v from "valibot";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { LabToXYZ, reflectanceToLab, XYZToLab } from "../../src/colour/Lab.ts";
import type { ObserverName } from "../../src/colour/observer.ts";
import { noteDoubtOfLab } from "../../src/colour/surfaceColour.ts";
import { convertSpecularMode, specularHint } from "../../src/exchange/specularMode.ts";
import { differenceText, LabText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { SpecularMode } from "../../src/optics/interface.ts";
import { curveParameter } from "../../src/ports/curveParameter.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { mixtureFor, type StatedLab, smoothestFor } from "../../src/ports/labCurve.ts";
import { colourQuantities } from "../../src/ports/quantities.ts";
import { type Reading, readingsSchema } from "../../src/ports/reading.ts";
import { onWorkingGrid, type SpectrumParameter, spectrumSchema } from "../../src/ports/spectrum.ts";
import {
  between,
  darkestShareOf,
  type SurfaceAnswer,
  surfaceModeOf,
  surfaceQuestion,
} from "../../src/ports/statedLab.ts";
import { swatchOfLab } from "../../src/ports/swatch.ts";
import type { AssumedCurve, Target } from "../../src/ports/target.ts";
import { labelOfIlluminant, lightOptions } from "../../src/tables/illuminants.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { type ReadingsReport, readingsTogether } from "./model/readings.ts";

/** The target, and what it was made from. */
export type TargetValue = Target & {
  /** Undefined for a single reading. */
  readonly readings?: ReadingsReport;
};

const grid = wavelengths(workingGrid);
/** Light and observer in which several spectra are compared and named. */
const usual = { observer: "1964-10", illuminant: "D65" } as const;

/** What a file may leave unsaid, and the words for it. */
const unsaidWords = {
  specular: "whether the surface reflection is included",
  illuminant: "for which light the Lab is stated",
  observer: "for which observer the Lab is stated",
} as const;
export type Unsaid = keyof typeof unsaidWords;

export const target = defineCell({
  kind: "target",
  label: "Target",
  about:
    "The colour to reach: best measured on a spot that never saw the sun, such as the underside of a seat pad. " +
    "A spectrum (0 to 1) says most; a Lab reading works as well, and several readings are averaged.",
  inputs: { pigments: { type: "pigment-set", label: "Pastes for a curve from Lab", optional: true } },
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
      options: lightOptions,
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
    specular: surfaceQuestion,
    habit: {
      type: "text",
      label: "Read with",
      help: "The instrument, by the name it has in the library. All cells of the job go by it unless they are told otherwise.",
      initial: "",
      maxLength: 200,
    },
    spread: {
      type: "value",
      label: "Readings of one spot with it differ by, ΔE00",
      schema: v.nullable(between(0, 10)),
      initial: null as number | null,
    },
    readings: {
      type: "value",
      label: "Readings",
      help: "Several readings of one surface; they take the place of the single spectrum or Lab.",
      schema: readingsSchema,
      initial: [] as Reading[],
    },
    outliers: {
      type: "choice",
      label: "A reading far from the others",
      options: [
        { value: "leave out", label: "is left out" },
        { value: "count", label: "counts like the others" },
      ],
      initial: "leave out",
    },
    assumptions: {
      type: "value",
      label: "Assumed when it was read",
      schema: v.pipe(
        v.array(v.pipe(v.string(), v.maxLength(600))),
        v.maxLength(60, "at most 60 lines are allowed"),
      ),
      initial: [] as string[],
    },
    unsaid: {
      type: "value",
      label: "Not said by the file",
      schema: v.array(v.picklist(["specular", "illuminant", "observer"])),
      initial: [] as Unsaid[],
    },
    handOn: {
      type: "choice",
      label: "Hand it on",
      help: "Between the two lies the surface reflection. Other cells allow for it by themselves; this is for comparing with figures that were read the other way.",
      options: [
        { value: "as read", label: "as it was read" },
        { value: "included", label: "with the surface reflection" },
        { value: "excluded", label: "without the surface reflection" },
      ],
      initial: "as read",
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
    curve: curveParameter,
  },
  compute: ({ pigments }, p, { note, title, run }): TargetValue | Promise<TargetValue> => {
    for (const what of p.unsaid) {
      note(`The file does not say ${unsaidWords[what]}: ${sayAssumed(what, p)} is taken`);
    }
    const readWith = {
      ...(p.habit.trim() ? { readWith: p.habit.trim() } : {}),
      ...(p.spread === null ? {} : { readSpread: p.spread }),
    };
    if (p.source === "spectrum") return { ...spectral(p, title, note), ...readWith };
    const stated = LabOf(p, note);
    const value = {
      kind: "lab" as const,
      label: title,
      Lab: stated.Lab,
      observer: stated.observer,
      illuminant: stated.illuminant,
      specular: stated.specular,
      ...readWith,
      ...(stated.report ? { readings: stated.report } : {}),
    };
    const withCurve = (curve: AssumedCurve): TargetValue => ({ ...value, curve });
    if (p.curve === "none") return value;
    if (p.curve === "mixture" && pigments) {
      return mixtureFor(stated, pigments, run, note).then(withCurve);
    }
    if (p.curve === "mixture") note("No pigment set is linked: the smoothest curve is taken instead");
    return withCurve(smoothestFor(stated, note));
  },
  verdict: (value, { source, spectrum }) => {
    const { readings } = value;
    const used = readings && readings.labels.length - readings.statistics.outliers.length;
    const origin = spectrum?.origin ? ` (${spectrum.origin})` : "";
    const what = readings
      ? `The mean of ${used} readings`
      : source === "lab"
        ? "A Lab reading"
        : `A measured spectrum, ${spectrum?.label}${origin}`;
    const isLab = value.kind === "lab";
    const weights = isLab
      ? weightsFor(value.observer as ObserverName, value.illuminant)
      : weightsFor(usual.observer, usual.illuminant);
    const Lab = isLab ? value.Lab : reflectanceToLab(value.reflectance, weights, new Float64Array(3));
    const light = isLab
      ? `${labelOfIlluminant(value.illuminant)}, ${value.observer === "1931-2" ? "2°" : "10°"}`
      : "D65 daylight, 10°";
    const figure = LabText(Lab);
    const spread = readings
      ? ` Mean difference from the mean (MCDM): ΔE00 ${differenceText(readings.statistics.meanDifference)}.`
      : "";
    return {
      text: `${what}: ${figure} in ${light}, surface reflection ${value.specular}${value.readWith ? `, read with ${value.readWith}` : ""}.${spread}`,
      figure,
      swatch: swatchOfLab(Lab, weights),
    };
  },
  summarise: (value) => ({
    ...(value.kind === "lab"
      ? {
          Lab: [...value.Lab],
          observer: value.observer,
          illuminant: value.illuminant,
          ...(value.curve ? { curve: summariseCurve(value.curve) } : {}),
        }
      : { reflectance: [...value.reflectance] }),
    specular: value.specular,
    ...(value.readings ? { readings: summariseReadings(value.readings) } : {}),
  }),
  quantities: (value) =>
    colourQuantities(
      "",
      "the target",
      value.kind === "lab"
        ? value.Lab
        : reflectanceToLab(
            value.reflectance,
            weightsFor(usual.observer, usual.illuminant),
            new Float64Array(3),
          ),
    ),
});

export default target;

interface Given {
  readonly spectrum: SpectrumParameter | null;
  readonly readings: readonly Reading[];
  readonly outliers: "leave out" | "count";
  readonly L: number;
  readonly a: number;
  readonly b: number;
  readonly illuminant: string;
  readonly observer: ObserverName;
  readonly specular: SurfaceAnswer;
  readonly handOn: "as read" | SpecularMode;
  readonly externalReflection: number;
}

function sayAssumed(what: Unsaid, p: Given): string {
  if (what === "specular") return p.specular;
  return what === "illuminant" ? labelOfIlluminant(p.illuminant) : p.observer === "1931-2" ? "2°" : "10°";
}

function spectral(p: Given, label: string, note: (text: string) => void): TargetValue {
  const { externalReflection: k1 } = p;
  const spectra = p.readings.filter((reading) => reading.kind === "spectrum");
  let measured: Float64Array;
  let readings: ReadingsReport | undefined;
  if (spectra.length > 0) {
    const together = readingsTogether(
      p.readings,
      weightsFor(usual.observer, usual.illuminant),
      p.outliers === "count",
      note,
    );
    measured = together.reflectance!;
    readings = together.report;
  } else if (p.spectrum) measured = onWorkingGrid(p.spectrum, note);
  else {
    throw new InputError("No spectrum is loaded", {
      toGive: true,
      field: "spectrum",
      wayOut: "Drop a file here, or type a Lab reading",
    });
  }
  const specular = surfaceModeOf(p.specular, Math.min(...measured), k1, note);
  const hint = p.specular === "included" ? specularHint(grid, measured, k1) : undefined;
  if (hint) note(`${hint[0].toUpperCase()}${hint.slice(1)}. Was it measured with the reflection excluded?`);
  const to = p.handOn === "as read" ? specular : p.handOn;
  const { values, notes } = convertSpecularMode(measured, specular, to, k1);
  for (const text of notes) note(text);
  return { kind: "spectrum", label, reflectance: values, specular: to, ...(readings ? { readings } : {}) };
}

function LabOf(
  p: Given,
  note: (text: string) => void,
): StatedLab & { Lab: Float64Array; report: ReadingsReport | undefined } {
  const { observer, illuminant, externalReflection: k1 } = p;
  const weights = weightsFor(observer, illuminant);
  const several = p.readings.filter((reading) => reading.kind === "lab");
  const together =
    several.length > 0 ? readingsTogether(p.readings, weights, p.outliers === "count", note) : undefined;
  const Lab = together?.Lab ?? Float64Array.of(p.L, p.a, p.b);
  noteDoubtOfLab(Lab, note);
  const specular = surfaceModeOf(p.specular, darkestShareOf(Lab, weights), k1, note);
  const to = p.handOn === "as read" ? specular : p.handOn;
  if (to !== specular) {
    // The surface adds the same share of the light at every wavelength, so that no spectrum is needed.
    const XYZ = LabToXYZ(Lab, weights.white, new Float64Array(3));
    const shares = XYZ.map((value, i) => value / weights.white[i]);
    const { values, notes } = convertSpecularMode(shares, specular, to, k1);
    note(notes[0]);
    for (let i = 0; i < 3; i++) XYZ[i] = values[i] * weights.white[i];
    if (XYZ.some((value) => value <= 0)) {
      throw new InputError(`Without a surface reflection of ${k1} nothing is left of this Lab`, {
        field: "handOn",
        wayOut: "Hand it on as it was read, or lower k1",
      });
    }
    XYZToLab(XYZ, weights.white, Lab);
  }
  return { Lab, observer, illuminant, specular: to, report: together?.report };
}

function summariseReadings({ labels, statistics }: ReadingsReport) {
  return {
    count: labels.length,
    meanDifferenceFromMean: statistics.meanDifference,
    largestDifferenceFromMean: statistics.largestDifference,
    leftOut: statistics.outliers.map((i) => labels[i]),
  };
}

function summariseCurve({ from, mixture, lights }: AssumedCurve) {
  return {
    from,
    ...(mixture
      ? { parts: mixture.parts.map(({ name, share }) => ({ name, share })), deltaE: mixture.deltaE }
      : {}),
    lights: lights.map(({ illuminant, Lab, median, ninety }) => ({
      illuminant,
      Lab: [...Lab],
      median,
      ninety,
    })),
  };
}
