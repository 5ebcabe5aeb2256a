import fc from "fast-check";
import { describe, expect, test } from "vitest";
import ladderText from "../../data/examples/drawdowns-ladder.csv?raw";
import roseText from "../../data/examples/drawdowns-rose.csv?raw";
import coloursText from "../../data/examples/drawdowns-rose-colours.csv?raw";
import { holdsColoursOnly, readDrawdownColours } from "../../src/tables/drawdownColours.ts";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import { SpectrumFileError } from "../../src/tables/spectrumFileError.ts";
import { type WrittenDrawdowns, writeDrawdownFile } from "../../src/tables/writeDrawdownFile.ts";
import { cases } from "../howMuch.ts";

const points = 36;
const curve = (value: number) => Array.from({ length: points }, (_, i) => value + i / 1000);

/** What a reader gives, without places in the file and what was assumed. */
const essence = ({ settings, components, films, bare }: WrittenDrawdowns) =>
  JSON.parse(
    JSON.stringify({ settings, components, films, bare }, (key, value) =>
      key === "rows" ? undefined : ArrayBuffer.isView(value) ? Array.from(value as Float64Array) : value,
    ),
  );

describe("writeDrawdownFile", () => {
  test.each([
    ["spectra", roseText],
    ["a ladder", ladderText],
  ])("%s: what was read, written and read again is the same", (_, text) => {
    const file = readDrawdownFile(text, "a.csv");
    const again = readDrawdownFile(writeDrawdownFile(file, ["from a test"]), "b.csv");
    // identity: round trip
    expect(essence(again)).toEqual(essence(file));
  });

  test("colours: the same", () => {
    const file = readDrawdownColours(coloursText, "a.csv");
    const text = writeDrawdownFile(file);
    expect(holdsColoursOnly(text, "b.csv")).toBe(true);
    expect(essence(readDrawdownColours(text, "b.csv"))).toEqual(essence(file));
  });

  test("repeats come back one by one", () => {
    const head = `label,ground,specular,${Array.from({ length: points }, (_, i) => 380 + 10 * i)}`;
    const rows = [0.1, 0.13, 0.12].map((value) => `m,black,excluded,${curve(value)}`);
    const file = readDrawdownFile([head, ...rows].join("\n"), "a.csv");
    expect(file.films[0].readings[0].singles).toHaveLength(3);
    const again = readDrawdownFile(writeDrawdownFile(file), "b.csv");
    expect(essence(again)).toEqual(essence(file));
  });

  test("where only mean and spread are known, rows of the same mean and spread stand for the repeats, and say so", () => {
    const reading = (repeats: number) => ({
      ground: "white",
      specular: "included" as const,
      reflectance: curve(0.3),
      spread: curve(0.004),
      repeats,
    });
    for (const repeats of [2, 3, 5]) {
      const text = writeDrawdownFile({
        settings: {},
        components: [],
        bare: [],
        films: [
          {
            label: "m",
            basis: "volume",
            amounts: [1],
            thickness: { kind: "unknown" },
            readings: [reading(repeats)],
          },
        ],
      });
      expect(text).toContain("# of m over white only mean and spread were known");
      const [again] = readDrawdownFile(text, "a.csv").films[0].readings;
      expect(again.repeats).toBe(repeats);
      for (let i = 0; i < points; i++) {
        expect(again.reflectance[i]).toBeCloseTo(curve(0.3)[i], 12);
        expect(again.spread[i]).toBeCloseTo(curve(0.004)[i], 12);
      }
    }
  });

  const label = fc
    .string({ maxLength: 12 })
    .map((text) => text.replace(/\s+/g, " ").replaceAll("\0", "").trim())
    .filter((text) => text !== "" && text.toLowerCase() !== "bare");
  const thickness = fc.oneof(
    fc.record({
      kind: fc.constant("stated" as const),
      basis: fc.constantFrom("dry" as const, "wet" as const, "gap" as const),
      value: fc.integer({ min: 1, max: 5000 }).map((value) => value / 10),
      errorPercent: fc.constantFrom(undefined, 3, 12.5),
    }),
    fc.constant({ kind: "unknown" as const }),
    fc.constant({ kind: "opaque" as const }),
  );
  const reading = fc
    .tuple(
      fc.constantFrom("black", "white", "card, no. 3", "#4"),
      fc.boolean(),
      fc.integer({ min: 0, max: 900 }),
    )
    .map(([ground, included, level]) => ({
      ground,
      specular: included ? ("included" as const) : ("excluded" as const),
      reflectance: Float64Array.from(curve(level / 1000)),
      spread: new Float64Array(points),
      repeats: 1,
      singles: [],
    }));
  const distinct = <T extends { ground: string; specular: string }>(one: T) =>
    `${one.ground} ${one.specular}`;
  const table = fc.record({
    settings: fc.constantFrom({}, { paste: "Rose", density: 1.1, volumeSolids: 0.3, colourIndex: "PR 122" }),
    components: fc.constantFrom([], ["pw6"], ["pw6", 'the "old", clear; one']),
    films: fc.uniqueArray(
      fc.record({
        label,
        basis: fc.constantFrom("volume" as const, "mass" as const, "dry volume" as const),
        amounts: fc.tuple(fc.integer({ min: 1, max: 99 }), fc.nat(50), fc.nat(50)),
        thickness,
        readings: fc.uniqueArray(reading, { minLength: 1, maxLength: 3, selector: distinct }),
      }),
      { minLength: 1, maxLength: 4, selector: (film) => film.label },
    ),
    bare: fc.uniqueArray(reading, { maxLength: 2, selector: distinct }),
  });

  test(`${cases(500)} random tables come back the same`, () => {
    fc.assert(
      fc.property(table, ({ films, components, ...rest }) => {
        const whole = {
          ...rest,
          components,
          films: films.map((film) => ({ ...film, amounts: film.amounts.slice(0, components.length + 1) })),
        };
        const text = writeDrawdownFile(whole, ["# a comment,\nof two lines"]);
        expect(essence(readDrawdownFile(text, "a.csv"))).toEqual(essence(whole));
      }),
      { numRuns: cases(500), seed: 20254 },
    );
  });

  const film = (changes: object) => ({
    label: "m",
    basis: "volume",
    amounts: [1],
    thickness: { kind: "unknown" as const },
    readings: [],
    ...changes,
  });
  test.each([
    ["no label", [film({ label: "  " })], "no label"],
    ["a film called bare", [film({ label: "Bare" })], "uncoated card"],
    ["two of one name", [film({}), film({})], 'two films are called "m"'],
    ["nothing poured", [film({ amounts: [0] })], "nothing was poured"],
    [
      "µm beside laid amounts",
      [
        film({ thickness: { kind: "stated", basis: "dry", value: 9 } }),
        film({ label: "n", thickness: { kind: "stated", basis: "amount", value: 2 } }),
      ],
      "one unit for all films",
    ],
    [
      "curves beside colours",
      [
        film({
          readings: [
            { ground: "black", specular: "included", Lab: [1, 2, 3] },
            { ground: "white", specular: "included", reflectance: curve(0.1), spread: curve(0), repeats: 1 },
          ],
        }),
      ],
      "some are colours",
    ],
  ])("%s: refused in words", (_, films, words) => {
    const whole = { settings: {}, components: [], films, bare: [] } as WrittenDrawdowns;
    expect(() => writeDrawdownFile(whole)).toThrow(RangeError);
    expect(() => writeDrawdownFile(whole)).toThrow(words);
  });
});

describe("files of colours", () => {
  const head = "label,ground,specular,amount of paste,L*,a*,b*";
  const row = (Lab: string) => `m,black,included,1,${Lab}`;

  test("repeats stay as they are", () => {
    const { films, bare } = readDrawdownColours(
      [head, "bare,black,included,,25,0,0", row("40,50,20"), row("40.4,50,20")].join("\n"),
      "a.csv",
    );
    expect(films[0].readings.map(({ Lab }) => Lab[0])).toEqual([40, 40.4]);
    expect(bare[0].Lab).toEqual([25, 0, 0]);
  });

  test.each([
    ["a column missing", ["label,ground,L*,a*", "m,black,40,50"], "all of L*, a* and b*"],
    ["a value missing", [head, row("40,,20")], 'row 2, field "a*": the colour is not complete'],
    ["a lightness that cannot be", [head, row("140,50,20")], "outside the allowed range 0 to 100"],
    ["no number", [head, row("40,x,20")], '"x" is not a number'],
  ])("%s: refused with its place", (_, lines, words) => {
    expect(() => readDrawdownColours(lines.join("\n"), "a.csv")).toThrow(SpectrumFileError);
    expect(() => readDrawdownColours(lines.join("\n"), "a.csv")).toThrow(words);
  });

  test("taken for spectra, and spectra for colours: each says what it is", () => {
    expect(() => readDrawdownFile(coloursText, "a.csv")).toThrow(/no wavelengths[\s\S]*coarse/);
    expect(() => readDrawdownColours(roseText, "a.csv")).toThrow(/no columns L\*/);
  });

  test("colours beside spectra are passed over, with a note", () => {
    const nm = Array.from({ length: points }, (_, i) => 380 + 10 * i);
    const text = [`label,ground,L*,a*,b*,${nm}`, `m,black,40,50,20,${curve(0.2)}`].join("\n");
    expect(readDrawdownFile(text, "a.csv").notes.join()).toContain("L*, a*, b* were passed over");
    expect(holdsColoursOnly(text, "a.csv")).toBe(false);
  });
});
