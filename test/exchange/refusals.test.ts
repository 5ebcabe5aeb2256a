import { describe, expect, test } from "vitest";
import { readColourFile } from "../../src/exchange/readColourFile.ts";
import { readLabText } from "../../src/exchange/readLab.ts";
import { writeCgats } from "../../src/exchange/writeCgats.ts";
import { writeCxf } from "../../src/exchange/writeCxf.ts";
import { writeSpectrumCsv } from "../../src/exchange/writeSpectrumCsv.ts";
import { SpectrumFileError } from "../../src/tables/spectrumFileError.ts";
import { blueSample, heading, LabRed, red, redSample } from "./fixtures.ts";

const cgats = writeCgats([redSample, blueSample], heading);
const cxf = writeCxf([redSample, blueSample], heading);

/** The refusal names the file, says what is wrong and offers a way out. */
function expectRefused(text: string, ...words: string[]): void {
  let message = "";
  try {
    readColourFile("lot 7.txt", text);
  } catch (error) {
    expect(error).toBeInstanceOf(SpectrumFileError);
    message = (error as Error).message;
  }
  expect(message).toContain("lot 7.txt");
  for (const word of words) expect(message).toContain(word);
}

describe("bad files are refused with file, row and field", () => {
  test.each<[string, string, string[]]>([
    ["empty", "", ["empty"]],
    ["blank", "\n \n", ["empty"]],
    ["a spreadsheet", "PK\u0003\u0004rubbish", ["not a text file"]],
    ["cut off inside the data", cgats.slice(0, cgats.length - 40), ["END_DATA"]],
    ["cut off before the data", cgats.slice(0, cgats.indexOf("BEGIN_DATA\n")), ["no data"]],
    ["a value missing", cgats.replace(`\t${red[10]}\t`, "\t"), ["values"]],
    ["a value too many", cgats.replace(`\t${red[10]}\t`, `\t${red[10]}\t0.5\t`), ["row"]],
    [
      "a word instead of a number",
      cgats.replace(`\t${red[10]}\t`, "\tmuch\t"),
      ['"much" is not a number', "row"],
    ],
    ["a reflectance of 1.4", cgats.replace(`\t${red[10]}\t`, "\t1.4\t"), ["1.4", "SPECTRAL_NM_600", "row"]],
    ["wrong number of sets", cgats.replace("NUMBER_OF_SETS 2", "NUMBER_OF_SETS 3"), ["NUMBER_OF_SETS is 3"]],
    [
      "wrong number of fields",
      cgats.replace(/NUMBER_OF_FIELDS \d+/, "NUMBER_OF_FIELDS 5"),
      ["NUMBER_OF_FIELDS"],
    ],
    [
      "a wavelength twice",
      cgats.replace("\tSPECTRAL_NM_420\t", "\tSPECTRAL_NM_400\t"),
      ["twice", "SPECTRAL_NM_400"],
    ],
    ["decimal comma and point", cgats.replace(`\t${red[10]}\t`, "\t0,06\t"), ["decimal comma"]],
    ["an unknown scale", cgats.replace("SPECTRAL_NORM 1", "SPECTRAL_NORM 255"), ["255"]],
    ["an open quotation mark", cgats.replace('"poppy red"', '"poppy red'), ["quotation mark", "row"]],
    [
      "Lab out of range",
      writeCgats([LabRed], heading).replace("43.21", "143.21"),
      ["143.21", "no surface colour", "row"],
    ],
    ["XML that is no CxF", "<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", ["no CxF3"]],
    ["XML cut off", cxf.slice(0, cxf.length - 10), ["closed"]],
    ["XML with tags crossed", cxf.replace("</cc:Resources>", "</cc:Object>"), ["well-formed"]],
    [
      "CxF with a word for a number",
      cxf.replace(` ${red[10]} `, " much "),
      ['"much" is not a number', "poppy red"],
    ],
    ["CxF with a reflectance of 1.4", cxf.replace(` ${red[10]} `, " 1.4 "), ["1.4", "poppy red"]],
    ["CxF without objects", cxf.replace(/<cc:Object [\s\S]*<\/cc:Object>/, ""), ["no object"]],
    ["CxF with a step of 0", cxf.replaceAll('Increment="20"', 'Increment="0"'), ["Increment"]],
    [
      "CxF with a step of 500",
      cxf.replaceAll('Increment="20"', 'Increment="500"'),
      ["outside 200 to 2600 nm"],
    ],
  ])("%s", (_, text, words) => {
    expectRefused(text, ...words);
  });

  test("a sample with a gap is left out and named; the others are read", () => {
    const file = readColourFile("x", cgats.replace(`\t${red[10]}\t`, "\t\t"));
    expect(file.samples.map((sample) => sample.label)).toEqual([blueSample.label]);
    expect(file.assumptions.join()).toContain("poppy red");
  });

  test("deleting any one value of the text form is refused, wherever it stood", () => {
    const rows = cgats.split("\n");
    const first = rows.indexOf("BEGIN_DATA") + 1;
    const words = rows[first].split("\t");
    for (let i = 2; i < words.length; i++) {
      const less = [...rows];
      less[first] = words.filter((_, k) => k !== i).join("\t");
      expect(() => readColourFile("x", less.join("\n"))).toThrow(SpectrumFileError);
    }
  });

  test("a file cut off anywhere is refused; a CSV table, which cannot tell, is read with a warning", () => {
    for (const text of [cgats, cxf]) {
      for (let end = 0; end < text.trimEnd().length; end += 3) {
        expect(() => readColourFile("x", text.slice(0, end))).toThrow(SpectrumFileError);
      }
    }
    const csv = writeSpectrumCsv([redSample, blueSample]);
    const warning = "the last line does not end";
    expect(readColourFile("x", csv).assumptions.join()).not.toContain(warning);
    expect(readColourFile("x", csv.trimEnd().slice(0, -1)).assumptions.join()).toContain(warning);
  });
});

describe("XML that wants to reach out or to grow", () => {
  const inside = (doctype: string) => cxf.replace("<cc:CxF ", `${doctype}<cc:CxF `);
  test.each([
    [
      "an external entity",
      inside('<!DOCTYPE cc:CxF [<!ENTITY x SYSTEM "file:///etc/hostname">]>').replace("poppy red", "&x;"),
    ],
    [
      "entities within entities",
      inside(
        `<!DOCTYPE cc:CxF [<!ENTITY a "aaaaaaaaaa">${"bcdefghij"
          .split("")
          .map((name, i) => `<!ENTITY ${name} "${`&${"abcdefghi"[i]};`.repeat(10)}">`)
          .join("")}]>`,
      ).replace("poppy red", "&j;"),
    ],
    ["an external document type", inside('<!DOCTYPE cc:CxF SYSTEM "http://localhost/x.dtd">')],
  ])("%s is refused", (_, text) => {
    expectRefused(text, "document type");
  });

  test("an entity of its own stays text, never a file", () => {
    const [sample] = readColourFile("x", cxf.replace('Name="poppy red"', 'Name="&x; &amp; &#233;"')).samples;
    expect(sample.label).toBe("&x; & é");
  });

  test("names that are dangerous in scripts do no harm", () => {
    expectRefused(
      cxf.replace("<cc:FileInformation>", '<__proto__ polluted="yes"/><cc:FileInformation>'),
      "well-formed",
    );
    expectRefused(cxf.replace("<cc:FileInformation>", "<constructor/><cc:FileInformation>"), "well-formed");
    const odd = cxf.replace("poppy red", "__proto__");
    expect(readColourFile("x", odd).samples.map((sample) => sample.label)).toEqual([
      "__proto__",
      blueSample.label,
    ]);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  const large = 10 * 1024 * 1024 - 200;
  const fill = (piece: string) => piece.repeat(Math.floor(large / piece.length));
  test.each<[string, () => string]>([
    ["open tags without end", () => fill("<a>")],
    ["brackets", () => fill("<")],
    [
      "one tag with very many attributes",
      () => `<CxF ${Array.from({ length: 400_000 }, (_, i) => `a${i}="1"`).join(" ")}/>`,
    ],
    ["very many tags with attributes", () => `<CxF>${fill('<b c="1" d="2" e="3" f="4"/>')}</CxF>`],
    ["very many empty objects", () => `<CxF><Resources>${fill("<Object/>")}</Resources></CxF>`],
    ["numbered signs", () => `<CxF>${fill("&#65;")}</CxF>`],
    ["one endless text", () => `<CxF><Resources/>${fill("0.1 ")}</CxF>`],
    ["open comments", () => `<CxF>${fill("<!--")}`],
    ["open CDATA", () => `<CxF>${fill("<![CDATA[")}`],
    [
      "quotation marks in the text form",
      () => `BEGIN_DATA_FORMAT\nA\nEND_DATA_FORMAT\nBEGIN_DATA\n${fill('"')}`,
    ],
    [
      "rows of the text form",
      () => `BEGIN_DATA_FORMAT\nLAB_L\nLAB_A\nLAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n${fill("1 2 3\n")}`,
    ],
    ["fields of the text form", () => `CGATS.17\nBEGIN_DATA_FORMAT\n${fill("A ")}`],
    ["keywords of the text form", () => `BEGIN_DATA_FORMAT A END_DATA_FORMAT\n${fill("K v\n")}`],
    ["line ends", () => `a,b${fill("\n")}x`],
    ["blanks in a field", () => `L* (2${fill(" ")}),a,b\n1,2,3`],
    ["quotation marks in CSV", () => fill('"a,"')],
    ["columns", () => `nm,${fill("a,")}`],
    ["comment lines", () => fill("# \n")],
    ["eleven megabytes", () => "1,2\n".repeat(3 * 1024 * 1024)],
  ])("10 MB of %s: refused within a second", (_, make) => {
    const text = make();
    // The processor's own time, so that other work on the machine is not counted.
    const start = process.cpuUsage();
    expect(() => readColourFile("large", text)).toThrow(SpectrumFileError);
    const { user, system } = process.cpuUsage(start);
    expect((user + system) / 1000).toBeLessThan(1000);
  });
});

describe("typed and pasted Lab", () => {
  test.each([
    ["43.2 51.0 -28.5", "Sample 1", undefined, undefined, undefined],
    ["43,2 51,0 -28,5", "Sample 1", undefined, undefined, undefined],
    ["43.2, 51.0, -28.5", "Sample 1", undefined, undefined, undefined],
    ["43.2;51;−28.5", "Sample 1", undefined, undefined, undefined],
    ["43.2\t51\t-28.5", "Sample 1", undefined, undefined, undefined],
    ["L* 43.2 a* 51.0 b* -28.5", "Sample 1", undefined, undefined, undefined],
    ["L=43.2, a=51, b=-28.5", "Sample 1", undefined, undefined, undefined],
    ["L: 43,2; a: 51,0; b: -28,5", "Sample 1", undefined, undefined, undefined],
    ["poppy: 43.2 51 -28.5 (D65/10°, specular included)", "poppy", "D65", "1964-10", "included"],
    ["CIE L*43.2 a*51 b*-28.5 D50 2° SCE", "Sample 1", "D50", "1931-2", "excluded"],
    ["seat 3: L 43.2 a 51 b -28.5 F11/10", "seat 3", "FL11", "1964-10", undefined],
  ])("%j", (text, label, illuminant, observer, specular) => {
    const { samples, assumptions } = readLabText(text, "pasted text");
    expect(samples).toEqual([{ kind: "Lab", label, Lab: [43.2, 51, -28.5], illuminant, observer, specular }]);
    expect(assumptions.some((note) => note.includes("which light"))).toBe(illuminant === undefined);
  });

  test.each([
    ["43,2,51,0,-28,5", "exactly three"],
    ["43.2 51", "exactly three"],
    ["43.2 51 -28.5 7", "exactly three"],
    ["43.2 51,0 -28.5", "mixed"],
    ["143 51 28", "no surface colour"],
    ["43 251 28", "no surface colour"],
    ["red", "exactly three"],
    ["", "nothing to read"],
    ["43.2 51 1e999", "exactly three"],
  ])("%j is refused: %s", (text, word) => {
    expect(() => readLabText(text, "pasted text")).toThrow(SpectrumFileError);
    expect(() => readLabText(text, "pasted text")).toThrow(word);
  });

  test("several lines: each named in a refusal", () => {
    expect(
      readLabText("a: 43 51 28\n\nb: 50 0 0", "pasted text").samples.map((sample) => sample.label),
    ).toEqual(["a", "b"]);
    expect(() => readLabText("43 51 28\n50 0", "pasted text")).toThrow("row 2");
  });
});

describe("samples named by numbers that could be wavelengths", () => {
  const ids = Array.from({ length: 40 }, (_, i) => 1001 + i);
  const at = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
  const value = (sample: number, i: number): string => (0.1 + 0.01 * sample + 0.001 * i).toFixed(3);
  const down = (corner: string, count: number): string =>
    [
      [corner, ...ids.slice(0, count)].join(),
      ...at.map((nm, i) => [nm, ...ids.slice(0, count).map((_, k) => value(k, i))].join()),
      "",
    ].join("\n");
  const across = (corner: string): string =>
    [[corner, ...at].join(), ...ids.map((id, k) => [id, ...at.map((_, i) => value(k, i))].join()), ""].join(
      "\n",
    );

  test("are read the right way or refused, never the wrong way", () => {
    for (const text of [
      down("wavelength_nm", 40),
      down("", 40),
      down("wavelength_nm", 12),
      across(""),
      across("name"),
    ]) {
      let samples: ReturnType<typeof readColourFile>["samples"] = [];
      try {
        samples = readColourFile("x", text).samples;
      } catch (error) {
        expect(error).toBeInstanceOf(SpectrumFileError);
        continue;
      }
      expect(samples[0].label).toBe("1001");
      expect(samples[0].kind === "spectrum" && samples[0].wavelengths[0]).toBe(380);
    }
    expect(readColourFile("x", down("wavelength_nm", 12)).samples.length).toBe(12);
    expect(() => readColourFile("x", down("", 40))).toThrow("could both be wavelengths");
  });
});

test("values under the surface reflection are pointed out, unless the file says specular excluded", () => {
  const dark = { ...redSample, values: red.map((value) => value - 0.04) };
  const excluded = readColourFile("x", writeCgats([{ ...dark, specular: "excluded" }], heading)).assumptions;
  const unsaid = readColourFile("x", writeCgats([{ ...dark, specular: undefined }], heading)).assumptions;
  expect(excluded.join()).not.toContain("looks like");
  expect(unsaid.join()).toContain("looks like specular excluded");
});
