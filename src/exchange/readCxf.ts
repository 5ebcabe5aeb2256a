import type { ReadingAnswers } from "../tables/doubt.ts";
import { refuseOtherKind } from "../tables/readingKind.ts";
import type { PlacedReading } from "../tables/readingScale.ts";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import { numberOf } from "../tables/spectrumFileText.ts";
import {
  type ColourFile,
  type ColourSample,
  type Conditions,
  colourLimits,
  distinctLabels,
} from "./colourSample.ts";
import { illuminantIn, observerIn, specularIn } from "./conditionWords.ts";
import { checkLab, toFractions, toXYZ100 } from "./readingScale.ts";
import { child, childrenOf, wholeText, type XmlElement, xmlTree } from "./xmlTree.ts";

/**
 * Reads CxF3 (ISO 17972-1): reflectance spectra, CIELAB (also as L*, C*, h) and XYZ of the objects in the object
 * collection, with the light, observer, wavelengths and geometry of their colour specification. An object with a
 * spectrum becomes a spectrum (its Lab kept as reported), else Lab, else XYZ.
 *
 * @throws SpectrumFileError for anything but a CxF3 file, or values that cannot be read
 * Source: ISO 17972-1, CxF3 core elements (from memory).
 */
export function readCxf(text: string, file: string, answers: ReadingAnswers = {}): ColourFile {
  const root = xmlTree(text, file);
  const resources = child(root, "Resources");
  if (root.name !== "CxF" || !resources) {
    const wayOut = "Export it as CxF3 (ISO 17972-1), CGATS or CSV";
    throw new SpectrumFileError(
      file,
      "this XML is no CxF3: the element CxF with Resources is missing",
      wayOut,
    );
  }
  const assumptions: string[] = [];
  const specifications = specificationsOf(resources, file);
  const objects = childrenOf(resources, "ObjectCollection").flatMap((collection) =>
    childrenOf(collection, "Object"),
  );
  if (objects.length > colourLimits.samples) {
    throw new SpectrumFileError(
      file,
      `there are more than ${colourLimits.samples} objects`,
      "Split the file",
    );
  }
  const ids = new Set<string>();
  for (const { attributes } of objects) {
    const id = attributes.Id;
    if (id !== undefined && ids.has(id))
      throw new SpectrumFileError(file, `two objects have the Id "${id.slice(0, 60)}"`, "Export it again");
    if (id !== undefined) ids.add(id);
  }
  const found = objects.flatMap((object) => readingsOf(object, specifications, file, assumptions));
  const spectra = found.filter((reading) => reading.kind === "spectrum");
  const stimuli = found.filter((reading) => reading.kind === "XYZ");
  // The standard has fractions; a value far above 1 shows that the writer did not keep to it.
  const fractions = spectra.length
    ? toFractions(
        spectra.map((reading) => reading.readings),
        undefined,
        file,
        assumptions,
        answers,
      )
    : [];
  const XYZ = stimuli.length
    ? toXYZ100(
        stimuli.map((reading) => ({ XYZ: reading.XYZ, field: reading.label })),
        "standard",
        file,
        assumptions,
        answers,
      )
    : [];
  if (found.length === 0) {
    throw new SpectrumFileError(
      file,
      "there is no object with a reflectance spectrum, Lab or XYZ",
      assumptions.length > 0
        ? `Passed over: ${assumptions.slice(0, 3).join("; ")}`
        : "Export measured colours",
    );
  }
  saySo(found, assumptions);
  const labels = distinctLabels(found.map(({ label }) => label));
  let spectrum = 0;
  let stimulus = 0;
  const samples = found.map((reading, i): ColourSample => {
    const label = labels[i];
    const { specular, conditions } = reading;
    if (reading.kind === "spectrum") {
      const { wavelengths, reported } = reading;
      return { kind: "spectrum", label, wavelengths, values: fractions[spectrum++], specular, reported };
    }
    if (reading.kind === "Lab") return { kind: "Lab", label, Lab: reading.Lab, ...conditions, specular };
    return { kind: "XYZ", label, XYZ: XYZ[stimulus++], ...conditions, specular };
  });
  return { form: "CxF3", samples, assumptions };
}

interface Specification {
  readonly conditions: Conditions;
  readonly specular: ReturnType<typeof specularIn>;
  readonly start: string | undefined;
  readonly increment: string | undefined;
  readonly end: string | undefined;
  readonly points: string | undefined;
  /** "Spectrum_Reflectance", "Spectrum_Transmittance" and so on; empty where it is not said */
  readonly measured: string;
}

const unspecified: Specification = {
  conditions: {},
  specular: undefined,
  start: undefined,
  increment: undefined,
  end: undefined,
  points: undefined,
  measured: "",
};

function specificationsOf(resources: XmlElement, file: string): Map<string, Specification> {
  const result = new Map<string, Specification>();
  for (const collection of childrenOf(resources, "ColorSpecificationCollection")) {
    for (const specification of childrenOf(collection, "ColorSpecification")) {
      const tristimulus = child(specification, "TristimulusSpec");
      const measurement = child(specification, "MeasurementSpec");
      const range = child(measurement, "WavelengthRange");
      const geometry = child(measurement, "GeometryChoice") ?? child(measurement, "Geometry");
      const id = specification.attributes.Id ?? "";
      if (result.has(id)) {
        throw new SpectrumFileError(
          file,
          `two colour specifications have the Id "${id.slice(0, 60)}"`,
          "Export it again",
        );
      }
      result.set(id, {
        conditions: {
          illuminant: illuminantIn(child(tristimulus, "Illuminant")?.text ?? ""),
          observer: observerIn(child(tristimulus, "Observer")?.text ?? ""),
        },
        specular: geometry && (specularIn(wholeText(geometry)) ?? bidirectional(geometry)),
        start: range?.attributes.StartWL,
        increment: range?.attributes.Increment,
        end: range?.attributes.EndWL,
        points: range?.attributes.NumPoints,
        measured: child(measurement, "MeasurementType")?.text ?? "",
      });
    }
  }
  return result;
}

/** A single angle pair of 45° and 0° never sees the mirror reflection. */
function bidirectional(geometry: XmlElement): Specification["specular"] {
  const single = child(geometry, "SingleAngle");
  const angles = ["IlluminationAngle", "MeasurementAngle"].map((name) =>
    Number(child(single, name)?.text ?? "NaN"),
  );
  return angles.includes(45) && angles.includes(0) ? { mode: "excluded", because: "45° and 0°" } : undefined;
}

type Reading = {
  readonly label: string;
  readonly conditions: Conditions;
  readonly specular: ColourSample["specular"];
} & (
  | {
      readonly kind: "spectrum";
      readonly wavelengths: number[];
      readonly readings: PlacedReading[];
      readonly reported: ({ Lab: [number, number, number] } & Conditions) | undefined;
    }
  | { readonly kind: "Lab"; readonly Lab: [number, number, number] }
  | { readonly kind: "XYZ"; readonly XYZ: number[] }
);

function readingsOf(
  object: XmlElement,
  specifications: ReadonlyMap<string, Specification>,
  file: string,
  assumptions: string[],
): Reading[] {
  const label = object.attributes.Name ?? object.attributes.Id ?? "";
  const shown = label === "" ? "an object without a name" : `"${label.slice(0, 60)}"`;
  const colours = child(object, "ColorValues");
  const specificationOf = (element: XmlElement): Specification =>
    specifications.get(element.attributes.ColorSpecification ?? "") ?? unspecified;
  const common = (element: XmlElement) => {
    const { conditions, specular } = specificationOf(element);
    return { label, conditions, specular: specular?.mode };
  };

  const labElement = child(colours, "ColorCIELab") ?? child(colours, "ColorCIELCh");
  const Lab = labElement && LabOf(labElement, file, label);
  const spectra = childrenOf(colours, "ReflectanceSpectrum");
  if (spectra.length > 0) {
    return spectra.flatMap((element): Reading[] => {
      const specification = specificationOf(element);
      const start = element.attributes.StartWL ?? specification.start;
      const increment = element.attributes.Increment ?? specification.increment;
      if (start === undefined || increment === undefined) {
        assumptions.push(
          `${shown} left out: its ${start === undefined ? "first wavelength" : "step"} is not stated`,
        );
        return [];
      }
      refuseOtherKind(specification.measured, file, label);
      const { wavelengths, readings } = spectrumOf(element, start, increment, file, label);
      refuseOtherRange(
        wavelengths,
        {
          end: element.attributes.EndWL ?? specification.end,
          points: element.attributes.NumPoints ?? specification.points,
        },
        file,
        label,
      );
      const reported = Lab && labElement && { Lab, ...specificationOf(labElement).conditions };
      const name =
        spectra.length > 1
          ? `${label} ${element.attributes.Name ?? specification.specular?.mode ?? ""}`
          : label;
      return [{ ...common(element), label: name.trim(), kind: "spectrum", wavelengths, readings, reported }];
    });
  }
  if (Lab && labElement) return [{ ...common(labElement), kind: "Lab", Lab }];
  const XYZElement = child(colours, "ColorCIEXYZ");
  if (XYZElement) {
    const XYZ = ["X", "Y", "Z"].map((axis) => numberIn(child(XYZElement, axis), file, label, axis));
    return [{ ...common(XYZElement), kind: "XYZ", XYZ }];
  }
  if (colours?.children.length) assumptions.push(`${shown} left out: no reflectance, Lab or XYZ`);
  return [];
}

function spectrumOf(
  element: XmlElement,
  start: string,
  increment: string,
  file: string,
  label: string,
): { wavelengths: number[]; readings: PlacedReading[] } {
  const from = plainNumber(start, file, label, "StartWL");
  const step = plainNumber(increment, file, label, "Increment");
  const words = element.text.split(/\s+/).filter((word) => word !== "");
  const { least, most } = colourLimits.wavelengths;
  if (words.length < least || words.length > most) {
    throw new SpectrumFileError(
      file,
      `the spectrum has ${words.length} values, and ${least} to ${most} are needed`,
      "Export the whole spectrum",
      undefined,
      label,
    );
  }
  const last = from + step * (words.length - 1);
  const { nm } = colourLimits;
  if (!(step > 0 && from >= nm.least && last <= nm.most)) {
    throw new SpectrumFileError(
      file,
      `wavelengths from ${from} nm by ${step} nm lead to ${last} nm, outside ${nm.least} to ${nm.most} nm`,
      "Check StartWL and Increment",
      undefined,
      label,
    );
  }
  return {
    wavelengths: words.map((_, i) => from + step * i),
    readings: words.map((word) => ({
      value: plainNumber(word, file, label, "ReflectanceSpectrum"),
      field: label,
    })),
  };
}

/** The end and the number of values that a file states must be those of its data. */
function refuseOtherRange(
  wavelengths: readonly number[],
  { end, points }: { end: string | undefined; points: string | undefined },
  file: string,
  label: string,
): void {
  const last = wavelengths[wavelengths.length - 1];
  for (const [name, said, found] of [
    ["EndWL", end, last],
    ["NumPoints", points, wavelengths.length],
  ] as const) {
    if (said === undefined || Math.abs(plainNumber(said, file, label, name) - found) < 1e-6) continue;
    throw new SpectrumFileError(
      file,
      `${name} is ${said.slice(0, 40)}, but the values lead to ${found}`,
      "Check StartWL, Increment and the number of values",
      undefined,
      label,
    );
  }
}

function LabOf(element: XmlElement, file: string, label: string): [number, number, number] {
  if (element.name === "ColorCIELab") {
    const values = ["L", "A", "B"].map((axis) => numberIn(child(element, axis), file, label, axis));
    return checkLab(values, file, undefined, label);
  }
  const [L, C, H] = ["L", "C", "H"].map((axis) => numberIn(child(element, axis), file, label, axis));
  if (!(C >= 0 && Math.abs(H) <= 360)) {
    throw new SpectrumFileError(
      file,
      `C* ${C} and hue ${H} are no colour (C* at least 0, hue −360° to 360°)`,
      "Check the numbers",
      undefined,
      label,
    );
  }
  const angle = (H * Math.PI) / 180;
  return checkLab([L, C * Math.cos(angle), C * Math.sin(angle)], file, undefined, label);
}

function numberIn(element: XmlElement | undefined, file: string, label: string, axis: string): number {
  return plainNumber(element?.text ?? "", file, label, axis);
}

function plainNumber(word: string, file: string, label: string, field: string): number {
  const trimmed = word.trim();
  const value = numberOf(trimmed);
  if (value !== undefined) return value;
  const what = trimmed === "" ? "a number is missing" : `"${trimmed.slice(0, 40)}" is not a number`;
  throw new SpectrumFileError(file, what, "Export the file again", undefined, `${label} ${field}`.trim());
}

function saySo(found: readonly Reading[], assumptions: string[]): void {
  const modes = new Set(found.map((reading) => reading.specular));
  if (modes.has(undefined)) {
    assumptions.push(
      modes.size === 1
        ? "the file does not say whether the mirror reflection is included"
        : "for some samples the file does not say whether the mirror reflection is included",
    );
  }
  for (const mode of ["included", "excluded"] as const) {
    if (modes.has(mode)) assumptions.push(`mirror reflection ${mode}, as the geometry in the file says`);
  }
  const colours = found.filter((reading) => reading.kind !== "spectrum");
  if (colours.some(({ conditions }) => conditions.observer === undefined)) {
    assumptions.push("the file does not say for which observer the colours are stated");
  }
  if (colours.some(({ conditions }) => conditions.illuminant === undefined)) {
    assumptions.push("the file does not say for which light the colours are stated");
  }
}
