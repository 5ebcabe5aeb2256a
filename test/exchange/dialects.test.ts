import { describe, expect, test } from "vitest";
import type { ColourSample } from "../../src/exchange/colourSample.ts";
import { formOf, readColourFile } from "../../src/exchange/readColourFile.ts";
import { blue, nm, red } from "./fixtures.ts";

const values = (sample: ColourSample | undefined): readonly number[] =>
  sample?.kind === "spectrum" ? sample.values : [];

/** Both samples read right: labels, wavelengths and reflectances (identity with what was written into the text). */
function expectRedAndBlue(text: string): ReturnType<typeof readColourFile> {
  const file = readColourFile("readings", text);
  expect(file.samples.map((sample) => sample.label)).toEqual(["red", "blue"]);
  for (const [k, expected] of [red, blue].entries()) {
    const sample = file.samples[k];
    if (sample.kind !== "spectrum") throw new Error("no spectrum");
    expect(sample.wavelengths).toEqual(nm);
    for (let i = 0; i < nm.length; i++) expect(sample.values[i]).toBeCloseTo(expected[i], 9);
  }
  expect(file.assumptions.length).toBeGreaterThan(0);
  return file;
}

const percent = (numbers: readonly number[]): string[] => numbers.map((value) => (100 * value).toFixed(1));
const comma = (numbers: readonly (number | string)[]): string[] =>
  numbers.map((value) => String(value).replace(".", ","));
const cgats = (fields: string[], rows: string[][], head = "", between = " "): string =>
  [
    "CGATS.17",
    head,
    `NUMBER_OF_FIELDS ${fields.length}`,
    "BEGIN_DATA_FORMAT",
    fields.join(between),
    "END_DATA_FORMAT",
    `NUMBER_OF_SETS ${rows.length}`,
    "BEGIN_DATA",
    ...rows.map((row) => row.join(between)),
    "END_DATA",
    "",
  ].join("\n");

describe("spectra in many dialects", () => {
  const columns = (
    sign: string,
    a: readonly unknown[],
    b: readonly unknown[],
    head = `nm${sign}red${sign}blue`,
  ) => `${head}\n${nm.map((at, i) => [at, a[i], b[i]].join(sign)).join("\n")}\n`;
  const rows = (sign: string, a: readonly unknown[], b: readonly unknown[]) =>
    `name${sign}${nm.join(sign)}\nred${sign}${a.join(sign)}\nblue${sign}${b.join(sign)}\n`;
  test.each<[string, string]>([
    ["CSV, columns, commas, fractions", columns(",", red, blue)],
    ["CSV, columns, semicolons, decimal commas", columns(";", comma(red), comma(blue))],
    ["CSV, columns, tabs, per cent", columns("\t", percent(red), percent(blue))],
    ["CSV, rows, commas", rows(",", red, blue)],
    ["CSV, rows, semicolons, decimal commas, per cent", rows(";", comma(percent(red)), comma(percent(blue)))],
    ["CSV, rows, tabs", rows("\t", red, blue)],
    ["CSV, byte order mark, carriage returns", `\uFEFF${columns(",", red, blue).replaceAll("\n", "\r\n")}`],
    ["CSV, comment lines", `# invented\n${columns(",", red, blue)}`],
    ["CSV, wavelengths with unit", columns(",", red, blue).replace(/^(\d{3}),/gm, "$1 nm,")],
    ...["SPECTRAL_NM_#", "SPECTRAL_NM#", "SPECTRAL_#", "SPEC_#", "nm#", "NM_#", "R_#", "#nm", "#"].map(
      (form): [string, string] => [
        `CGATS, fields ${form}`,
        cgats(
          ["SAMPLE_ID", "SAMPLE_NAME", ...nm.map((at) => form.replace("#", String(at)))],
          [
            ["1", '"red"', ...red.map(String)],
            ["2", '"blue"', ...blue.map(String)],
          ],
        ),
      ],
    ),
    [
      "CGATS, pairs of wavelength and per cent",
      cgats(
        ["SAMPLE_NAME", ...nm.flatMap(() => ["SPECTRAL_NM", "SPECTRAL_PCT"])],
        [
          ["red", ...nm.flatMap((at, i) => [String(at), percent(red)[i]])],
          ["blue", ...nm.flatMap((at, i) => [String(at), percent(blue)[i]])],
        ],
      ),
    ],
    [
      "CGATS, pairs of wavelength and decimal fraction",
      cgats(
        ["SAMPLE_ID", ...nm.flatMap(() => ["SPECTRAL_NM", "SPECTRAL_DEC"])],
        [
          ["red", ...nm.flatMap((at, i) => [String(at), String(red[i])])],
          ["blue", ...nm.flatMap((at, i) => [String(at), String(blue[i])])],
        ],
      ),
    ],
    [
      "CGATS, tabs, per cent by SPECTRAL_NORM, other words first",
      cgats(
        ["SAMPLE_NAME", ...nm.map((at) => `SPEC_${at}`)],
        [
          ["red", ...percent(red)],
          ["blue", ...percent(blue)],
        ],
        'SPECTRAL_BANDS "16"\nSPECTRAL_NORM "100.0"\n# a comment',
        "\t",
      ).replace("CGATS.17", "CTI3   "),
    ],
    [
      "CGATS, decimal commas",
      cgats(
        ["SAMPLE_NAME", ...nm.map((at) => `nm${at}`)],
        [
          ["red", ...comma(red)],
          ["blue", ...comma(blue)],
        ],
      ),
    ],
    [
      "CGATS, wavelengths from long to short",
      cgats(
        ["SAMPLE_NAME", ...[...nm].reverse().map((at) => `nm${at}`)],
        [
          ["red", ...[...red].reverse().map(String)],
          ["blue", ...[...blue].reverse().map(String)],
        ],
      ),
    ],
    [
      "CGATS, rows over two lines, carriage returns only",
      cgats(
        ["SAMPLE_NAME", ...nm.map((at) => `nm${at}`)],
        [
          ["red", ...red.slice(0, 8).map(String), `\n${red.slice(8).join(" ")}`],
          ["blue", ...blue.slice(0, 8).map(String), `\n${blue.slice(8).join(" ")}`],
        ],
      ).replaceAll("\n", "\r"),
    ],
    [
      "CGATS, two tables",
      cgats(["SAMPLE_NAME", ...nm.map((at) => `nm${at}`)], [["red", ...red.map(String)]]) +
        cgats(["SAMPLE_NAME", ...nm.map((at) => `nm${at}`)], [["blue", ...blue.map(String)]]).replace(
          "CGATS.17",
          "",
        ),
    ],
  ])("%s", (_, text) => {
    expectRedAndBlue(text);
  });

  const object = (name: string, numbers: readonly unknown[], attributes: string) =>
    `<Object Name="${name}" Id="i${name}"><ColorValues><ReflectanceSpectrum ${attributes}>${numbers.join(" ")}</ReflectanceSpectrum></ColorValues></Object>`;
  const cxf = (objects: string, specification: string, prefix = "") => {
    const plain = `<CxF xmlns="http://colorexchangeformat.com/CxF3-core"><FileInformation/><Resources><ObjectCollection>${objects}</ObjectCollection><ColorSpecificationCollection>${specification}</ColorSpecificationCollection></Resources></CxF>`;
    return prefix === "" ? plain : plain.replace(/<(\/?)(?=[A-Z])/g, `<$1${prefix}:`);
  };
  const range = '<WavelengthRange StartWL="400" Increment="20"/>';
  const sphere = "<GeometryChoice><Sphere><SphereType>SCI</SphereType></Sphere></GeometryChoice>";
  test.each<[string, string]>([
    [
      "CxF3, start at the spectrum, step in the specification",
      cxf(
        object("red", red, 'ColorSpecification="A" StartWL="400"') +
          object("blue", blue, 'ColorSpecification="A" StartWL="400"'),
        `<ColorSpecification Id="A"><MeasurementSpec>${sphere}${range}</MeasurementSpec></ColorSpecification>`,
      ),
    ],
    [
      "CxF3 with a prefix, a declaration and comments",
      `<?xml version="1.0" encoding="UTF-8"?><!-- < > -->${cxf(
        object("red", red, 'ColorSpecification="A"') + object("blue", blue, 'ColorSpecification="A"'),
        `<ColorSpecification Id="A"><MeasurementSpec>${sphere}${range}</MeasurementSpec></ColorSpecification>`,
        "cc",
      )}`,
    ],
    [
      "CxF3 in per cent, against the standard, with line ends between the values",
      cxf(
        object("red", percent(red), 'ColorSpecification="A"').replaceAll(" 5", "\n5") +
          object("blue", percent(blue), 'ColorSpecification="A"'),
        `<ColorSpecification Id="A"><MeasurementSpec>${range}</MeasurementSpec></ColorSpecification>`,
      ),
    ],
  ])("%s", (_, text) => {
    const file = expectRedAndBlue(text);
    expect(file.form).toBe("CxF3");
    if (text.includes("SCI"))
      expect(file.samples.map((sample) => sample.specular)).toEqual(["included", "included"]);
  });

  test("CxF3 spectrum without a step is left out and named, never guessed", () => {
    const text = cxf(
      object("red", red, 'StartWL="400"') + object("blue", blue, 'StartWL="400" Increment="20"'),
      "",
    );
    const file = readColourFile("x", text);
    expect(file.samples.map((sample) => sample.label)).toEqual(["blue"]);
    expect(file.assumptions.join()).toContain('"red" left out: its step is not stated');
  });

  test("CxF3 with included and excluded spectra of one object: two samples", () => {
    const two = `<Object Name="red"><ColorValues><ReflectanceSpectrum ColorSpecification="I">${red.join(" ")}</ReflectanceSpectrum><ReflectanceSpectrum ColorSpecification="E">${blue.join(" ")}</ReflectanceSpectrum></ColorValues></Object>`;
    const spec = (id: string, word: string) =>
      `<ColorSpecification Id="${id}"><MeasurementSpec><GeometryChoice><Sphere>${word}</Sphere></GeometryChoice>${range}</MeasurementSpec></ColorSpecification>`;
    const { samples } = readColourFile("x", cxf(two, spec("I", "SPIN") + spec("E", "SPEX")));
    expect(samples.map(({ label, specular }) => [label, specular])).toEqual([
      ["red included", "included"],
      ["red excluded", "excluded"],
    ]);
    expect(values(samples[1])).toEqual(blue);
  });

  test("CxF3 Lab with its conditions, LCh turned into Lab, XYZ", () => {
    const spec =
      '<ColorSpecification Id="A"><TristimulusSpec><Illuminant>F11</Illuminant><Observer>10_Degree</Observer></TristimulusSpec></ColorSpecification>';
    const entry = (name: string, inside: string) =>
      `<Object Name="${name}"><ColorValues>${inside}</ColorValues></Object>`;
    const { samples } = readColourFile(
      "x",
      cxf(
        entry("lab", '<ColorCIELab ColorSpecification="A"><L>43.2</L><A>51</A><B>-28.5</B></ColorCIELab>') +
          entry("lch", '<ColorCIELCh ColorSpecification="A"><L>50</L><C>20</C><H>90</H></ColorCIELCh>') +
          entry("xyz", '<ColorCIEXYZ ColorSpecification="A"><X>20.1</X><Y>10.3</Y><Z>5</Z></ColorCIEXYZ>'),
        spec,
      ),
    );
    expect(samples[0]).toMatchObject({
      kind: "Lab",
      Lab: [43.2, 51, -28.5],
      observer: "1964-10",
      illuminant: "FL11",
    });
    const lch = samples[1];
    if (lch.kind !== "Lab") throw new Error("no Lab");
    expect(lch.Lab[1]).toBeCloseTo(0, 12); // identity: hue 90° lies on +b*
    expect(lch.Lab[2]).toBeCloseTo(20, 12);
    expect(samples[2]).toMatchObject({ kind: "XYZ", XYZ: [20.1, 10.3, 5] });
  });

  test("CGATS with spectra and Lab: the spectrum counts, the Lab is kept as reported", () => {
    const text = cgats(
      ["SAMPLE_NAME", "LAB_L", "LAB_A", "LAB_B", ...nm.map((at) => `nm${at}`)],
      [["red", "43", "50", "30", ...red.map(String)]],
      'ILLUMINATION_NAME "D50"\nOBSERVER_ANGLE "2"\nMEASUREMENT_GEOMETRY "45/0"',
    );
    const [sample] = readColourFile("x", text).samples;
    expect(sample).toMatchObject({ kind: "spectrum", specular: "excluded" });
    expect(sample.kind === "spectrum" && sample.reported).toMatchObject({
      Lab: [43, 50, 30],
      illuminant: "D50",
      observer: "1931-2",
    });
  });

  test.each([
    ['MEASUREMENT_SOURCE "Illumination=D50 ObserverAngle=2degree WhiteBase=Abs Filter=No"', "D50", "1931-2"],
    ['WEIGHTING_FUNCTION "ILLUMINANT, D65"\nWEIGHTING_FUNCTION "OBSERVER, 10 degree"', "D65", "1964-10"],
    ["", undefined, undefined],
  ])("CGATS Lab, conditions from %s", (head, illuminant, observer) => {
    const text = cgats(["SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B"], [["1", "43.2", "51", "-28.5"]], head);
    const file = readColourFile("x", text);
    expect(file.samples[0]).toMatchObject({ kind: "Lab", Lab: [43.2, 51, -28.5] });
    expect(file.samples[0]).toHaveProperty("illuminant", illuminant);
    expect(file.samples[0]).toHaveProperty("observer", observer);
    expect(file.assumptions.some((note) => note.includes("for which observer"))).toBe(observer === undefined);
  });

  test.each([
    ["name,L*,a*,b*\nred,43.2,51,-28.5\n", undefined, undefined],
    ["name;L* (D65/10°);a*(D65/10°);b*(D65/10°)\nred;43,2;51,0;-28,5\n", "D65", "1964-10"],
    ["# illuminant A, 2 degree\nname\tCIE L\tCIE a\tCIE b\nred\t43.2\t51\t-28.5\n", "A", "1931-2"],
    ["LAB_L,LAB_A,LAB_B,NAME\n43.2,51,-28.5,red\n", undefined, undefined],
  ])("CSV with Lab: %j", (text, illuminant, observer) => {
    const [sample] = readColourFile("x", text).samples;
    expect(sample).toMatchObject({ kind: "Lab", label: "red", Lab: [43.2, 51, -28.5] });
    expect(sample).toHaveProperty("illuminant", illuminant);
    expect(sample).toHaveProperty("observer", observer);
  });

  test("CSV with XYZ of a white of 1: brought to 100 and told", () => {
    const file = readColourFile("x", "name,X,Y,Z\nred,0.2,0.1,0.05\n");
    expect(file.samples[0]).toMatchObject({ kind: "XYZ", XYZ: [20, 10, 5] });
    expect(file.assumptions.join()).toContain("Y = 1");
  });

  test.each([
    ["CGATS.17\nBEGIN_DATA_FORMAT", "CGATS"],
    ["anything\nBEGIN_DATA_FORMAT\n", "CGATS"],
    ['<?xml version="1.0"?>', "CxF3"],
    ["  <cc:CxF>", "CxF3"],
    ["nm,red", "CSV"],
  ])("form of %j is %s", (text, form) => expect(formOf(text)).toBe(form));
});
