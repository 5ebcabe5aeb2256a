import { describe, expect, test } from "vitest";
import type { SpectralSample } from "../../src/exchange/colourSample.ts";
import { readColourFile } from "../../src/exchange/readColourFile.ts";
import { readLabText } from "../../src/exchange/readLab.ts";
import { type DoubtName, doubtOf, type ReadingAnswers } from "../../src/tables/doubt.ts";

const nm = Array.from({ length: 31 }, (_, i) => 400 + 10 * i);
/** An invented red in fractions. */
const red = nm.map((x) => 0.05 + 0.5 / (1 + Math.exp((600 - x) / 20)));
const dark = nm.map((_, i) => 0.4 + 0.7 * (i / 30)); // per cent
const table = (heads: readonly string[], ...columns: readonly (readonly number[])[]): string =>
  [heads.join(","), ...nm.map((x, i) => [x, ...columns.map((column) => column[i])].join(","))].join("\n");
const put = (values: readonly number[], value: number): number[] =>
  values.map((old, i) => (i === 12 ? value : old));

/** The question, the refusal, or "" for a file that is read. */
function said(text: string, answers?: ReadingAnswers): DoubtName | "read" | string {
  try {
    readColourFile("file", text, undefined, answers);
    return "read";
  } catch (error) {
    return doubtOf(error) ?? (error as Error).message;
  }
}

// identity throughout: the files are made wrong on purpose, and what was meant is known.
describe("scale", () => {
  test.each([25, 12, 1.9])("one cell of %d among fractions rescales nothing and is named", (value) => {
    const words = said(table(["nm", "a", "b"], red, put(red, value)));
    expect(words).toContain(`${value} is outside the allowed range`);
    expect(words).toContain('row 14, field "b"');
  });

  test("one sample in per cent beside one in fractions is asked, and each can be read as it seems", () => {
    const text = table(
      ["nm", "a", "b"],
      red,
      red.map((value) => 100 * value),
    );
    expect(said(text)).toBe("scale");
    const { samples } = readColourFile("file", text, undefined, { scale: "each" });
    const values = samples.map((sample) => (sample.kind === "spectrum" ? sample.values[30] : Number.NaN));
    expect(values[1]).toBeCloseTo(values[0], 12);
  });

  test("a dark part in per cent is asked, and read where the file says so", () => {
    expect(said(table(["nm", "a"], dark))).toBe("scale");
    for (const head of ["R pct", "R percent", "R %", "a (per cent)"]) {
      const { samples } = readColourFile("file", table(["nm", head], dark));
      expect(samples[0]).toMatchObject({ kind: "spectrum" });
      expect((samples[0] as SpectralSample).values[0]).toBeCloseTo(0.004, 12);
    }
    expect(said(table(["nm", "a"], dark), { scale: "percent" })).toBe("read");
  });

  test("a comment that says per cent counts, and is asked where the numbers say otherwise", () => {
    const three = dark.map((value) => 3 * value);
    expect(said(`# in %\n${table(["nm", "a"], three)}`)).toBe("read");
    expect(said(`# in %\n${table(["nm", "a"], red)}`)).toBe("scale");
  });

  test("X, Y, Z of about 1 are asked; chromaticities are refused", () => {
    expect(said("name,X,Y,Z\na,0.9,0.95,1.1\n")).toBe("white");
    expect(said("name,X,Y,Z\na,0.9,0.95,1.1\n", { white: "100" })).toBe("read");
    expect(said("name,x,y,z\na,0.4,0.35,0.25\n")).toContain("chromaticities");
  });

  test("a jump that no paint makes is asked, and kept when it is right", () => {
    const text = table(["nm", "a"], put(red, 0.9));
    expect(said(text)).toBe("jumps");
    expect(said(text, { jumps: "keep" })).toBe("read");
  });

  test("all below 0, all above 1", () => {
    const all = (value: number) =>
      table(
        ["nm", "a"],
        nm.map(() => value),
      );
    expect(said(all(-0.005), { scale: "fraction" })).toContain("all reflectances of the sample are below 0");
    expect(said(all(1.15), { scale: "fraction" })).toContain("above 1");
  });
});

describe("kinds that are no reflectance", () => {
  test.each([
    ["T", "transmission"],
    ["% T", "transmission"],
    ["transmittance", "transmission"],
    ["K/S", "K/S"],
    ["absorbance", "absorbance"],
    ["mW/m²/nm", "radiation"],
  ])("a column headed %s", (head, kind) => {
    expect(said(table(["nm", head], red))).toContain(kind);
  });

  test.each(["cm-1", "wavelength_A", "wavelength (µm)", "wavenumber"])("wavelengths headed %s", (head) => {
    expect(said(table([head, "a"], red))).toContain("not in nm");
  });

  test("the cover of a transmission is a part, not a kind", () => {
    expect(said(table(["nm", "transmission cover"], red))).toBe("read");
  });

  test("a column that counts and one of spreads are no samples", () => {
    const counts = nm.map((_, i) => i + 1);
    const spreads = nm.map(() => 0.002);
    const { samples, assumptions } = readColourFile(
      "file",
      table(["nm", "row", "a", "std dev"], counts, red, spreads),
    );
    expect(samples.map(({ label }) => label)).toEqual(["a"]);
    expect(assumptions.join("\n")).toContain("left out: row, std dev");
  });

  test("CGATS of transmission, and a field 999 that is no wavelength", () => {
    const cgats = (source: string, more: string, cell: string) =>
      [
        "CGATS.17",
        `MEASUREMENT_SOURCE "${source}"`,
        "BEGIN_DATA_FORMAT",
        `SAMPLE_NAME ${nm.map((x) => `nm${x}`).join(" ")} ${more}`,
        "END_DATA_FORMAT",
        "BEGIN_DATA",
        `a ${red.join(" ")} ${cell}`,
        "END_DATA",
        "",
      ].join("\n");
    expect(said(cgats("D50", "", ""))).toBe("read");
    expect(said(cgats("transmittance", "", ""))).toContain("transmission");
    expect(said(cgats("D50", "999", "0.5"))).toContain("299 nm from the other wavelengths");
    expect(said(cgats("D50", "LAB_L LAB_A LAB_B", "90 0 0"))).toBe("beside");
    expect(said(cgats("D50", "LAB_L LAB_A LAB_B", "90 0 0"), { beside: "spectrum" })).toBe("read");
  });
});

describe("impossible colours", () => {
  test.each(["0 120 0", "100 0 160", "3 0 -90"])("L*, a*, b* of %s", (text) => {
    expect(() => readLabText(text, "typed")).toThrow("no surface colour");
  });

  test.each(["100,0,50", "60,199,70"])("X, Y, Z of %s", (values) => {
    expect(said(`name,X,Y,Z\na,${values}\n`)).toContain("no surface colour");
  });
});

describe("contradictions inside a CxF3", () => {
  const cxf = (range: string, objects: string) =>
    `<CxF><Resources><ColorSpecificationCollection><ColorSpecification Id="s"><MeasurementSpec>${range}</MeasurementSpec></ColorSpecification></ColorSpecificationCollection><ObjectCollection>${objects}</ObjectCollection></Resources></CxF>`;
  const spectrum = (id: string) =>
    `<Object Id="${id}" Name="${id}"><ColorValues><ReflectanceSpectrum ColorSpecification="s">${red.join(" ")}</ReflectanceSpectrum></ColorValues></Object>`;
  const range = (more = "") => `<WavelengthRange StartWL="400" Increment="10"${more}/>`;
  const LCh = (C: number, h: number) =>
    `<Object Id="o"><ColorValues><ColorCIELCh><L>50</L><C>${C}</C><H>${h}</H></ColorCIELCh></ColorValues></Object>`;

  test.each([
    ["a good one", range(' EndWL="700" NumPoints="31"'), spectrum("a"), "read"],
    ["another end", range(' EndWL="730"'), spectrum("a"), "EndWL is 730"],
    ["another number", range(' NumPoints="36"'), spectrum("a"), "NumPoints is 36"],
    ["one Id twice", range(), spectrum("a") + spectrum("a"), "two objects have the Id"],
    [
      "transmission",
      `<MeasurementType>Spectrum_Transmittance</MeasurementType>${range()}`,
      spectrum("a"),
      "transmission",
    ],
    ["negative chroma", range(), LCh(-20, 30), "no colour"],
    ["a hue of 9999", range(), LCh(20, 9999), "no colour"],
  ])("%s", (_, specification, objects, words) => {
    expect(said(cxf(specification, objects))).toContain(words);
  });
});
