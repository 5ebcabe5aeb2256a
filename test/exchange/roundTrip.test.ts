import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { ColourSample, SpectralSample } from "../../src/exchange/colourSample.ts";
import { readColourFile } from "../../src/exchange/readColourFile.ts";
import { writeCgats } from "../../src/exchange/writeCgats.ts";
import { writeCxf } from "../../src/exchange/writeCxf.ts";
import { writeSpectrumCsv } from "../../src/exchange/writeSpectrumCsv.ts";
import { cases } from "../howMuch.ts";
import { allKinds, blueSample, heading, redSample } from "./fixtures.ts";

/** Same kinds, labels, conditions; numbers within 1e-6. */
function expectSame(read: readonly ColourSample[], written: readonly ColourSample[]): void {
  expect(read.map(({ kind, label, specular }) => ({ kind, label, specular }))).toEqual(
    written.map(({ kind, label, specular }) => ({ kind, label, specular })),
  );
  read.forEach((sample, i) => {
    const other = written[i];
    expect(sample.kind).toBe(other.kind);
    if (sample.kind === "spectrum" && other.kind === "spectrum") {
      near(sample.wavelengths, other.wavelengths);
      near(sample.values, other.values);
      return;
    }
    if (sample.kind === "spectrum" || other.kind === "spectrum") throw new Error("kinds differ");
    expect([sample.observer, sample.illuminant]).toEqual([other.observer, other.illuminant]);
    if (sample.kind === "Lab" && other.kind === "Lab") near(sample.Lab, other.Lab);
    if (sample.kind === "XYZ" && other.kind === "XYZ") near(sample.XYZ, other.XYZ);
  });
}

function near(read: readonly number[], written: readonly number[]): void {
  expect(read.length).toBe(written.length);
  for (let i = 0; i < read.length; i++) {
    if (!(Math.abs(read[i] - written[i]) <= 1e-6)) expect(read[i]).toBe(written[i]);
  }
}

const label = fc.string({ minLength: 1, maxLength: 12, unit: "grapheme" });
const spectra = fc
  .record({
    start: fc.integer({ min: 300, max: 420 }),
    step: fc.constantFrom(1, 3.3, 5, 10, 20),
    count: fc.integer({ min: 8, max: 40 }),
    samples: fc.integer({ min: 1, max: 4 }),
    // All below 0 is refused.
    seeds: fc.array(fc.float({ min: 0, max: Math.fround(1.19), noNaN: true }), {
      minLength: 4,
      maxLength: 4,
    }),
    labels: fc.array(label, { minLength: 4, maxLength: 4 }),
    specular: fc.constantFrom("included" as const, "excluded" as const, undefined),
  })
  .map(({ start, step, count, samples, seeds, labels, specular }): SpectralSample[] =>
    Array.from({ length: samples }, (_, k) => ({
      kind: "spectrum" as const,
      label: labels[k],
      wavelengths: Array.from({ length: count }, (_, i) => start + step * i),
      values: Array.from({ length: count }, (_, i) => seeds[k] * Math.abs(Math.cos(i * (k + 1)))),
      specular,
    })),
  );
const colours = fc.array(
  fc.record({
    label,
    Lab: fc.tuple(
      // Between black and white, where any chroma drawn here can be.
      fc.double({ min: 30, max: 95, noNaN: true }),
      fc.double({ min: -128, max: 128, noNaN: true }),
      fc.double({ min: -128, max: 128, noNaN: true }),
    ),
    observer: fc.constantFrom("1931-2" as const, "1964-10" as const, undefined),
    illuminant: fc.constantFrom("D65", "A", "FL2", "FL3.11", "LED-B3", undefined),
  }),
  { minLength: 1, maxLength: 4 },
);

/** Drawn curves are no paint: their scale and jumps are answered. */
const read = (text: string) => readColourFile("x", text, undefined, { scale: "fraction", jumps: "keep" });

const plain = (text: string): string => text.replace(/\s+/g, " ").trim();

describe("what is written is read back (identity, 1e-6)", () => {
  test.each([
    ["CGATS", writeCgats(allKinds, heading)],
    ["CxF3", writeCxf(allKinds, heading)],
  ])("%s: spectra, Lab and XYZ with their conditions", (form, text) => {
    const file = readColourFile("export", text);
    expect(file.form).toBe(form);
    expectSame(file.samples, allKinds);
  });

  test("CSV: spectra", () => {
    const text = writeSpectrumCsv([redSample, blueSample], ["invented, specular included"]);
    expectSame(readColourFile("export", text).samples, [redSample, blueSample]);
  });

  test("any spectra through CSV, CGATS and CxF3", () => {
    fc.assert(
      fc.property(spectra, (samples) => {
        const distinct = samples.map((sample, i) => ({
          ...sample,
          label: plain(`${sample.label} no. ${i + 1}`),
        }));
        // A minus sign on zero is not worth keeping; controls cannot stand in XML.
        fc.pre(distinct.every((sample) => !/\p{Cc}|\p{Cn}|\p{Co}|\p{Cs}/u.test(sample.label)));
        expectSame(read(writeCgats(distinct, heading)).samples, distinct);
        expectSame(read(writeCxf(distinct, heading)).samples, distinct);
        const csv = distinct.map((sample) => ({
          ...sample,
          label: sample.label.replaceAll("%", "per cent"),
          specular: undefined,
        }));
        expectSame(read(writeSpectrumCsv(csv)).samples, csv);
      }),
      { seed: 41, numRuns: cases(1500) },
    );
  });

  test("any Lab colours through CGATS and CxF3", () => {
    fc.assert(
      fc.property(colours, (entries) => {
        const samples = entries.map(
          (entry, i): ColourSample => ({
            kind: "Lab",
            ...entry,
            label: `colour ${i}`,
            specular: undefined,
          }),
        );
        // One table for each condition: the order is that of the groups.
        const key = (sample: ColourSample): string => JSON.stringify([sample.label]);
        const sorted = (list: readonly ColourSample[]) =>
          [...list].sort((a, b) => key(a).localeCompare(key(b)));
        expectSame(sorted(readColourFile("x", writeCgats(samples, heading)).samples), sorted(samples));
        expectSame(readColourFile("x", writeCxf(samples, heading)).samples, samples);
      }),
      { seed: 42, numRuns: cases(1000) },
    );
  });

  test("what cannot be written is refused", () => {
    expect(() => writeSpectrumCsv([])).toThrow(RangeError);
    expect(() => writeCgats([], heading)).toThrow(RangeError);
    expect(() => writeCxf([], heading)).toThrow(RangeError);
    const other = { ...blueSample, wavelengths: blueSample.wavelengths.map((at) => at + 1) };
    expect(() => writeSpectrumCsv([redSample, other])).toThrow("different wavelengths");
    const uneven = {
      ...redSample,
      wavelengths: redSample.wavelengths.map((at, i) => at + (i === 5 ? 3 : 0)),
    };
    expect(() => writeCxf([uneven], heading)).toThrow("evenly spaced");
    const broken = {
      ...redSample,
      values: redSample.values.map((value, i) => (i === 5 ? Number.NaN : value)),
    };
    expect(() => writeCgats([broken], heading)).toThrow(RangeError);
  });
});
