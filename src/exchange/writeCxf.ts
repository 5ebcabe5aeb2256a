import type { ColourSample, Conditions, SpectralSample } from "./colourSample.ts";
import type { ExportHeading } from "./writeCgats.ts";
import { numberText } from "./writeSpectrumCsv.ts";

/**
 * CxF3 text (ISO 17972-1) of spectra on evenly spaced wavelengths, Lab and XYZ. What is written is read back the same.
 *
 * @throws RangeError for no samples, unevenly spaced wavelengths, or values not finite
 * Source: ISO 17972-1, CxF3 core elements (from memory).
 */
export function writeCxf(samples: readonly ColourSample[], heading: ExportHeading): string {
  if (samples.length === 0) throw new RangeError("no samples: at least one is needed");
  const specifications = new Map<string, { id: string; text: string }>();
  const specificationOf = (sample: ColourSample): string => {
    const text = specification(sample);
    let known = specifications.get(text);
    if (known === undefined) {
      known = { id: `CS${specifications.size + 1}`, text };
      specifications.set(text, known);
    }
    return known.id;
  };
  const objects = samples.map((sample, i) => {
    const id = specificationOf(sample);
    return [
      `      <cc:Object ObjectType="Standard" Name="${escaped(sample.label)}" Id="${i + 1}">`,
      `        <cc:CreationDate>${escaped(heading.created)}</cc:CreationDate>`,
      "        <cc:ColorValues>",
      `          ${values(sample, id)}`,
      "        </cc:ColorValues>",
      "      </cc:Object>",
    ].join("\n");
  });
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    '<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core">',
    "  <cc:FileInformation>",
    `    <cc:Creator>${escaped(heading.originator)}</cc:Creator>`,
    `    <cc:CreationDate>${escaped(heading.created)}</cc:CreationDate>`,
    `    <cc:Description>${escaped(heading.description)}</cc:Description>`,
    "  </cc:FileInformation>",
    "  <cc:Resources>",
    "    <cc:ObjectCollection>",
    ...objects,
    "    </cc:ObjectCollection>",
    "    <cc:ColorSpecificationCollection>",
    ...[...specifications.values()].map(
      ({ id, text }) => `      <cc:ColorSpecification Id="${id}">${text}</cc:ColorSpecification>`,
    ),
    "    </cc:ColorSpecificationCollection>",
    "  </cc:Resources>",
    "</cc:CxF>",
    "",
  ].join("\n");
}

function values(sample: ColourSample, id: string): string {
  if (sample.kind === "spectrum") {
    const text = sample.values.map(numberText).join(" ");
    return `<cc:ReflectanceSpectrum ColorSpecification="${id}" StartWL="${sample.wavelengths[0]}">${text}</cc:ReflectanceSpectrum>`;
  }
  const [name, axes, numbers] =
    sample.kind === "Lab"
      ? (["ColorCIELab", ["L", "A", "B"], sample.Lab] as const)
      : (["ColorCIEXYZ", ["X", "Y", "Z"], sample.XYZ] as const);
  const parts = axes.map((axis, i) => `<cc:${axis}>${numberText(numbers[i])}</cc:${axis}>`);
  return `<cc:${name} ColorSpecification="${id}">${parts.join("")}</cc:${name}>`;
}

function specification(sample: ColourSample): string {
  const { observer, illuminant }: Conditions = sample.kind === "spectrum" ? {} : sample;
  const tristimulus = [
    illuminant === undefined
      ? ""
      : `<cc:Illuminant>${illuminant.replace(/^FL(?=\d+$)/, "F")}</cc:Illuminant>`,
    observer === undefined ? "" : `<cc:Observer>${observer === "1931-2" ? "2" : "10"}_Degree</cc:Observer>`,
  ].join("");
  const geometry =
    sample.specular === undefined
      ? ""
      : `<cc:GeometryChoice><cc:Sphere>specular ${sample.specular}</cc:Sphere></cc:GeometryChoice>`;
  const range =
    sample.kind === "spectrum"
      ? `<cc:WavelengthRange StartWL="${sample.wavelengths[0]}" Increment="${evenStep(sample)}"/>`
      : "";
  return [
    tristimulus === "" ? "" : `<cc:TristimulusSpec>${tristimulus}</cc:TristimulusSpec>`,
    geometry + range === ""
      ? ""
      : `<cc:MeasurementSpec><cc:MeasurementType>Spectrum_Reflectance</cc:MeasurementType>${geometry}${range}</cc:MeasurementSpec>`,
  ].join("");
}

function evenStep({ label, wavelengths }: SpectralSample): number {
  const step = wavelengths[1] - wavelengths[0];
  if (!(step > 0) || wavelengths.some((nm, i) => Math.abs(nm - wavelengths[0] - step * i) > 1e-6)) {
    throw new RangeError(
      `"${label}": wavelengths are not evenly spaced, which CxF3 needs; export it as CGATS or CSV`,
    );
  }
  return step;
}

function escaped(text: string): string {
  // Signs that XML cannot hold are left out.
  return (
    text
      .replace(/\s+/g, " ")
      // biome-ignore lint/suspicious/noControlCharactersInRegex: these are the signs meant
      .replace(/[\u0000-\u001f\ufffe\uffff]/g, "")
      .replaceAll("&", "&amp;")
      .replaceAll("<", "&lt;")
      .replaceAll(">", "&gt;")
      .replaceAll('"', "&quot;")
  );
}
