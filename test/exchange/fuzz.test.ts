import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type ColourSample, colourLimits } from "../../src/exchange/colourSample.ts";
import { readColourFile } from "../../src/exchange/readColourFile.ts";
import { readLabText } from "../../src/exchange/readLab.ts";
import { writeCgats } from "../../src/exchange/writeCgats.ts";
import { writeCxf } from "../../src/exchange/writeCxf.ts";
import { writeSpectrumCsv } from "../../src/exchange/writeSpectrumCsv.ts";
import { SpectrumFileError } from "../../src/tables/spectrumFileError.ts";
import { cases } from "../howMuch.ts";
import { heading, LabRed, XYZGrey } from "./fixtures.ts";

// Files of few wavelengths: what is fuzzed is the structure.
const wavelengths = Array.from({ length: 8 }, (_, i) => 400 + 40 * i);
const spectra = ["red", "blue"].map((label, k) => ({
  kind: "spectrum" as const,
  label,
  wavelengths,
  values: wavelengths.map((_, i) => Number((0.05 + 0.1 * Math.abs(Math.sin(i * (k + 1)))).toFixed(3))),
}));
const percentCsv = `name;${wavelengths.join(";")}\n${spectra
  .map(
    ({ label, values }) => `${label};${values.map((v) => (100 * v).toFixed(1).replace(".", ",")).join(";")}`,
  )
  .join("\n")}\n`;

const csvFiles = [
  writeSpectrumCsv(spectra, ["invented"]),
  percentCsv,
  "name,L*,a*,b*\nred,43.2,51,28.5\nblue,30,5,-40\n",
];
const cgatsFiles = [writeCgats(spectra, heading), writeCgats([...spectra, LabRed, XYZGrey], heading)];
const cxfFiles = [writeCxf(spectra, heading), writeCxf([...spectra, LabRed, XYZGrey], heading)];
const labTexts = ["red: 43,2; 51,0; -28,5 (D65/10°)", "L* 43.2 a* 51 b* -28.5\n50 0 0", "43.2, 51.0, 28.5"];

/** Each number names a change: what is done, where, and with what. */
const changes = fc.array(fc.tuple(fc.nat({ max: 5 }), fc.nat(), fc.nat()), { minLength: 1, maxLength: 4 });
const pieces = [
  ..."0123456789.,;:-+eE\"'<>&/=#\t\n\r ()%°*",
  "\r\n",
  "BEGIN_DATA",
  "END_DATA\n",
  "BEGIN_DATA_FORMAT",
  "SPECTRAL_NM_500",
  "SPECTRAL_PCT",
  "LAB_L",
  "400",
  "0.5",
  "12,5",
  "NaN",
  "Infinity",
  "1e309",
  "-",
  "<!--",
  "-->",
  "<![CDATA[",
  "]]>",
  "</cc:Object>",
  "<a>",
  "<!DOCTYPE x>",
  "\0",
  "\uFEFF",
  "\u2028",
  "é",
  "__proto__",
];

function changed(text: string, list: readonly (readonly [number, number, number])[]): string {
  let result = text;
  for (const [what, where, how] of list) {
    const at = where % (result.length + 1);
    const length = 1 + (how % 12);
    if (what === 0) result = result.slice(0, at) + result.slice(at + length);
    else if (what === 1) result = result.slice(0, at) + pieces[how % pieces.length] + result.slice(at);
    else if (what === 2) result = result.slice(0, at) + pieces[how % pieces.length] + result.slice(at + 1);
    else if (what === 3) result = result.slice(0, at);
    else if (what === 4) result = result.slice(0, at) + result.slice(at, at + 5 * length) + result.slice(at);
    else {
      const lines = result.split("\n");
      lines.splice(where % lines.length, 1);
      result = lines.join("\n");
    }
  }
  return result;
}

/** Every number that stands in a text as a word of its own, with a decimal point or comma. */
function numbersIn(text: string): Set<number> {
  const numbers = new Set<number>();
  for (const separators of [/[\s;,"<>():=/*]+/, /[\s;"<>():=/*]+/, /[^\d.,eE+−-]+/, /[^\d.eE+−-]+/]) {
    for (const word of text.split(separators)) {
      const value = Number(
        word
          .replace(/[.,]+$/, "")
          .replace("−", "-")
          .replace(",", "."),
      );
      if (word !== "" && Number.isFinite(value)) numbers.add(value);
    }
  }
  return numbers;
}

/** Nothing that is read may be impossible or made up: each value stands in the file, as it is or as per cent. */
function expectSound(samples: readonly ColourSample[], text: string): void {
  expect(samples.length).toBeGreaterThan(0);
  const numbers = numbersIn(text);
  const written = (value: number, ...scales: number[]): boolean =>
    scales.some(
      (scale) => numbers.has(value * scale) || numbers.has(Number((value * scale).toPrecision(12))),
    );
  for (const sample of samples) {
    if (sample.label === "") throw new Error("a sample without a name");
    if (sample.kind === "spectrum") {
      const { values, wavelengths: at } = sample;
      if (values.length !== at.length || at.length < 8) throw new Error("lengths do not fit");
      values.forEach((value, i) => {
        const { fraction, nm } = colourLimits;
        if (!(value >= fraction.least && value <= fraction.most)) throw new Error(`value ${value}`);
        if (!(at[i] >= nm.least && at[i] <= nm.most)) throw new Error(`wavelength ${at[i]}`);
        if (i > 0 && !(at[i] > at[i - 1])) throw new Error("wavelengths do not rise");
        if (!written(value, 1, 100)) throw new Error(`${value} does not stand in the file`);
      });
    } else {
      const values = sample.kind === "Lab" ? sample.Lab : sample.XYZ;
      for (const value of values) {
        if (!Number.isFinite(value)) throw new Error(`value ${value}`);
        if (!written(value, 1, 0.01)) throw new Error(`${value} does not stand in the file`);
      }
    }
  }
}

let slowest = 0;

function readOrRefuse(text: string, read: (text: string) => { samples: readonly ColourSample[] }): boolean {
  const start = performance.now();
  let samples: readonly ColourSample[] | undefined;
  try {
    samples = read(text).samples;
  } catch (error) {
    if (!(error instanceof SpectrumFileError)) throw error;
    if (error.message.length > 1000) throw new Error(`a message of ${error.message.length} signs`);
  }
  slowest = Math.max(slowest, performance.now() - start);
  if (samples) expectSound(samples, text);
  return samples !== undefined;
}

describe(`${cases(20_000)} random and mutated files for each reader: read soundly or refused, never hung`, () => {
  const words = fc.array(fc.nat({ max: pieces.length - 1 }), { maxLength: 40 });
  const heads: Record<string, string> = {
    CSV: "nm,a\n",
    CGATS: "CGATS.17\nBEGIN_DATA_FORMAT\n",
    CxF3: "<cc:CxF><cc:Resources>",
    "pasted Lab": "",
  };
  test.each<[string, readonly string[], (text: string) => { samples: readonly ColourSample[] }]>([
    ["CSV", csvFiles, (text) => readColourFile("fuzz", text)],
    ["CGATS", cgatsFiles, (text) => readColourFile("fuzz", text)],
    ["CxF3", cxfFiles, (text) => readColourFile("fuzz", text)],
    ["pasted Lab", labTexts, (text) => readLabText(text, "fuzz")],
  ])("%s", (form, files, read) => {
    for (const file of files) expect(readOrRefuse(file, read)).toBe(true);
    let accepted = 0;
    fc.assert(
      fc.property(fc.nat({ max: files.length - 1 }), changes, (which, list) => {
        if (readOrRefuse(changed(files[which], list), read)) accepted++;
      }),
      { seed: 51, numRuns: cases(15_000) },
    );
    fc.assert(
      fc.property(words, (list) => {
        readOrRefuse(heads[form] + list.map((i) => pieces[i]).join(""), read);
      }),
      { seed: 52, numRuns: cases(4000) },
    );
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 40 }), (text) => {
        readOrRefuse(text, read);
      }),
      { seed: 53, numRuns: cases(1000) },
    );
    // Some changes do no harm: a fuzz that refuses everything would prove nothing.
    expect(accepted).toBeGreaterThan(cases(500));
    expect(slowest).toBeLessThan(1000);
  });
});
