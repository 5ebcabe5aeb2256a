import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import type { SpectralSample } from "../../src/exchange/colourSample.ts";
import { previewOf } from "../../src/exchange/preview.ts";
import { formOf, readColourFile } from "../../src/exchange/readColourFile.ts";
import { doubtOf } from "../../src/tables/doubt.ts";
import { SpectrumFileError } from "../../src/tables/spectrumFileError.ts";
import { cases } from "../howMuch.ts";
import { type MeantFile, meantFile, mistakes } from "./mutatedFiles.ts";

type Outcome = "as meant" | "refused" | "asked" | "wrong";

/** common practice: smaller differences are not seen */
const seen = 0.5;

/** The largest ΔE00 of a sample of the file to what was meant; samples are told by their names. */
function farthest(read: readonly SpectralSample[], { samples, wavelengths }: MeantFile): number {
  return read.reduce((most, sample) => {
    const meant = samples.find(({ label }) => label === sample.label);
    if (!meant) return Infinity;
    const own = previewOf({ kind: "spectrum", label: "", wavelengths, values: meant.values }).Lab;
    return Math.max(most, deltaE2000(own, previewOf(sample).Lab));
  }, 0);
}

function outcomeOf(text: string, meant: MeantFile): { outcome: Outcome; words: string } {
  try {
    const { samples, assumptions } = readColourFile("file", text);
    const spectra = samples.filter((sample) => sample.kind === "spectrum");
    const off = spectra.length === samples.length ? farthest(spectra, meant) : Infinity;
    return { outcome: off <= seen ? "as meant" : "wrong", words: `ΔE00 ${off}; ${assumptions.join("; ")}` };
  } catch (error) {
    // A spectrum that covers too little is refused by whoever takes it.
    if (!(error instanceof SpectrumFileError) && !(error instanceof RangeError)) throw error;
    return { outcome: doubtOf(error) ? "asked" : "refused", words: error.message };
  }
}

const tried = cases(10_000, 10);

describe("files as persons spoil them (invented paints)", () => {
  test(`${tried} good files are read unasked`, () => {
    const bad: string[] = [];
    for (let seed = 0; seed < tried; seed++) {
      const meant = meantFile(seed);
      const { outcome, words } = outcomeOf(meant.text, meant);
      if (outcome !== "as meant") bad.push(`${seed} ${outcome}: ${words}`);
    }
    expect(bad.slice(0, 5)).toEqual([]);
  });

  test(`${tried} spoilt ones: as meant, refused in words, or asked; none silently wrong by more than ΔE00 0.5`, () => {
    const wrong: string[] = [];
    const count = new Map<string, Record<Outcome, number>>();
    const names = Object.keys(mistakes) as (keyof typeof mistakes)[];
    for (let seed = 0; seed < tried; seed++) {
      const name = names[seed % names.length];
      const meant = meantFile(seed);
      const text = mistakes[name](meant);
      const { outcome, words } = outcomeOf(text, meant);
      const own = count.get(name) ?? { "as meant": 0, refused: 0, asked: 0, wrong: 0 };
      own[outcome]++;
      count.set(name, own);
      // One mistyped reading that its neighbours do not contradict stands; it is counted below.
      if (outcome === "wrong" && !name.startsWith("decimal point")) wrong.push(`${seed} ${name}: ${words}`);
    }
    expect(wrong.slice(0, 12), JSON.stringify([...count])).toEqual([]);
    // Each mistake was made, and most were noticed or did no harm.
    for (const name of names) {
      const own = count.get(name)!;
      expect(own, name).toBeDefined();
      expect(own.wrong, name).toBeLessThan(0.02 * Object.values(own).reduce((sum, value) => sum + value, 0));
    }
  });

  // The same beside what spreadsheets add: what is passed over must not hide a mistake.
  test(`${cases(2_000)} spoilt tables under a title, with an empty column: none silently wrong`, () => {
    const wrong: string[] = [];
    const names = Object.keys(mistakes) as (keyof typeof mistakes)[];
    let tables = 0;
    for (let seed = 0; seed < cases(2_000); seed++) {
      const name = names[seed % names.length];
      const meant = meantFile(seed);
      const text = mistakes[name](meant);
      if (formOf(text) !== "CSV") continue;
      tables++;
      const rows = text.trimEnd().split("\n");
      const wrapped = [
        "Readings of four panels",
        "Operator,Ann",
        ...rows.map((row) => (row.startsWith("#") ? row : `${row},`)),
      ];
      const { outcome, words } = outcomeOf(`${wrapped.join("\n")}\n`, meant);
      if (outcome === "wrong" && !name.startsWith("decimal point")) wrong.push(`${seed} ${name}: ${words}`);
    }
    expect(tables).toBeGreaterThan(100);
    expect(wrong.slice(0, 8)).toEqual([]);
  });
});
