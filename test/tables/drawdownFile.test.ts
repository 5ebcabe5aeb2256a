import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { tableToFill } from "../../src/drawdowns/emptyTable.ts";
import { doubtOf } from "../../src/tables/doubt.ts";
import { readDrawdownColours } from "../../src/tables/drawdownColours.ts";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import { SpectrumFileError } from "../../src/tables/spectrumFileError.ts";
import { cases } from "../howMuch.ts";

const nm = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const curve = (value: number) => nm.map(() => value).join();
const head = `label,ground,specular,basis,amount of paste,amount of binder,dry_um,error_percent,${nm.join()}`;

/** A small good file; rows can be added or put in its place. */
const fileOf = (...rows: string[]) =>
  [
    "# invented",
    "# paste: Test rose",
    "# paste density: 1.1",
    "# Paste Volume Solids: 0.3",
    "# colour index: PR 0",
    "# anything else: is passed over",
    head,
    `bare,black,included,,,,,,${curve(0.05)}`,
    `bare,white,included,,,,,,${curve(0.8)}`,
    ...rows,
  ].join("\n");

const mass = (label: string, ground: string, value: number, rest = "volume,1,4,20,") =>
  `${label},${ground},included,${rest},${curve(value)}`;

const good = fileOf(mass("masstone", "black", 0.1), mass("masstone", "white", 0.3));
const read = (text: string) => readDrawdownFile(text, "panels.csv");

describe("readDrawdownFile", () => {
  test("films, bare grounds, settings and components", () => {
    const file = read(good);
    expect(file.settings).toEqual({
      paste: "Test rose",
      density: 1.1,
      volumeSolids: 0.3,
      colourIndex: "PR 0",
    });
    expect(file.components).toEqual(["binder"]);
    expect(file.bare.map(({ ground, reflectance }) => [ground, reflectance[0]])).toEqual([
      ["black", 0.05],
      ["white", 0.8],
    ]);
    expect(file.films).toHaveLength(1);
    const [film] = file.films;
    expect(film).toMatchObject({
      label: "masstone",
      basis: "volume",
      amounts: [1, 4],
      thickness: { kind: "stated", basis: "dry", value: 20 },
    });
    expect(film.readings.map(({ ground, specular, repeats }) => [ground, specular, repeats])).toEqual([
      ["black", "included", 1],
      ["white", "included", 1],
    ]);
  });

  test("repeats are averaged and their spread kept", () => {
    const { films } = read(
      fileOf(mass("m", "black", 0.1), mass("m", "black", 0.12), mass("m", "Black", 0.14)),
    );
    const [reading] = films[0].readings;
    expect(reading.repeats).toBe(3);
    expect(reading.reflectance[7]).toBeCloseTo(0.12, 12);
    expect(reading.spread[7]).toBeCloseTo(0.02, 12); // identity: standard deviation of 0.10, 0.12, 0.14
    expect(reading.rows).toEqual([10, 11, 12]);
  });

  test.each([
    ["unknown", "volume,1,4,,", { kind: "unknown" }],
    ["opaque", "volume,1,4,opaque,", { kind: "opaque" }],
    ["with its error", "mass,1,4,20,3", { kind: "stated", basis: "dry", value: 20, errorPercent: 3 }],
  ])("a thickness %s", (_, rest, thickness) => {
    expect(read(fileOf(mass("m", "black", 0.1, rest))).films[0].thickness).toEqual(thickness);
  });

  test("a ladder: amounts alone, amount 0 is the bare backing", () => {
    const text = [
      "amount,380,400,430,460,500,540,580,620,660,700,730",
      "0,.8,.8,.8,.8,.8,.8,.8,.8,.8,.8,.8",
      "1,.5,.5,.5,.5,.5,.5,.5,.5,.5,.5,.5",
    ].join("\n");
    const { films, bare, components, notes } = read(text);
    expect(components).toEqual([]);
    expect(bare).toHaveLength(1);
    expect(films[0]).toMatchObject({
      label: "amount 1",
      amounts: [1],
      basis: "dry volume",
      thickness: { kind: "stated", basis: "amount", value: 1 },
    });
    expect(films[0].readings[0].reflectance).toEqual(new Float64Array(36).fill(0.5));
    expect(notes.join()).toContain("specular part not stated: taken as included");
  });

  test("per cent, semicolons and decimal commas", () => {
    const text = [
      "label;ground;380;400;430;460;500;540;580;620;660;700;730",
      "bare;black;4,5;4,5;4,5;4,5;4,5;4,5;4,5;4,5;4,5;4,5;4,5",
      "m;black;10,5;10,5;10,5;10,5;10,5;10,5;10,5;10,5;10,5;10,5;10,5",
    ].join("\n");
    const { films, notes } = read(text);
    expect(films[0].readings[0].reflectance[3]).toBeCloseTo(0.105, 12);
    expect(notes.join()).toContain("per cent");
  });

  test("rows at different wavelengths are brought to the working grid, with a note", () => {
    const short = mass("m", "white", 0.3).replace(/(,0.3){2}$/, ",,"); // nothing measured above 710 nm
    const { films, notes } = read(fileOf(mass("m", "black", 0.1), short));
    expect(films[0].readings[1].reflectance[35]).toBe(0.3);
    expect(notes.join()).toContain("different wavelengths");
  });
});

describe("files that cannot be read are refused with file, row and field", () => {
  const onlyHead = good.split("\n").slice(0, 7).join("\n");
  test.each([
    ["empty", "", "panels.csv: the file is empty"],
    ["without rows", onlyHead, "no rows below the heading"],
    ["only bare grounds", fileOf(), "only bare grounds"],
    ["without wavelengths", "label,ground\na,black", "no wavelengths"],
    ["an unknown column", good.replace("dry_um", "dry_mm"), 'row 7, field "dry_mm"'],
    ["a column twice", good.replace("390,", "380,"), 'row 7, field "380": the column "380" appears twice'],
    ["wavelengths out of order", good.replace(",390,400,", ",400,390,"), "390 nm comes after 400 nm"],
    ["no label column", good.replace("label,", "amount of oil,"), 'there is no column "label"'],
    ["an empty label", fileOf(mass("", "black", 0.1)), 'row 10, field "label"'],
    [
      "a word for a number",
      fileOf(mass("m", "black", 0.1, "volume,one,4,20,")),
      'row 10, field "amount of paste": "one" is not a number',
    ],
    ["nothing poured", fileOf(mass("m", "black", 0.1, "volume,0,0,20,")), "nothing was poured"],
    ["a negative amount", fileOf(mass("m", "black", 0.1, "volume,-1,4,20,")), "outside the allowed range"],
    ["an absurd thickness", fileOf(mass("m", "black", 0.1, "volume,1,4,0,")), 'row 10, field "dry_um"'],
    [
      "an unknown basis",
      fileOf(mass("m", "black", 0.1, "weight,1,4,20,")),
      "Write volume or mass or dry volume",
    ],
    [
      "an unknown specular mode",
      good.replace("masstone,black,included", "masstone,black,both"),
      "Write included or excluded",
    ],
    [
      "an impossible reading",
      fileOf(mass("m", "black", 0.1).replace(/0.1$/, "1.4")),
      'row 10, field "730": 1.4 is outside',
    ],
    [
      "too few wavelengths",
      "label,ground,500,510,520,530,540\nbare,black,.1,.1,.1,.1,.1\nm,black,.2,.2,.2,.2,.2",
      "row 3: the readings must cover 400 to 700 nm",
    ],
    [
      "contradicting amounts",
      fileOf(mass("m", "black", 0.1), mass("m", "white", 0.3, "volume,2,4,20,")),
      '"m" is one film, but its amounts differ: 1 : 4 by volume in row 10, 2 : 4 by volume here',
    ],
    [
      "contradicting thickness",
      fileOf(mass("m", "black", 0.1), mass("m", "white", 0.3, "volume,1,4,25,")),
      "its thickness differ: dry 20 in row 10, dry 25 here",
    ],
    [
      "contradicting basis",
      fileOf(mass("m", "black", 0.1), mass("m", "white", 0.3, "mass,1,4,20,")),
      '"m" is one film',
    ],
    [
      "a density that cannot be",
      good.replace("density: 1.1", "density: 11"),
      "panels.csv, row 3: paste density",
    ],
    ["ragged rows", `${good}\nm,black`, "row 12"],
    ["no text", "PK\u0003\u0004", "not a text file"],
  ])("%s", (_, text, words) => {
    expect(() => read(text)).toThrow(SpectrumFileError);
    expect(() => read(text)).toThrow(words);
  });

  test("10 MB and more", () => {
    expect(() => read("x".repeat(10 * 1024 * 1024 + 1))).toThrow(/larger than 10 MB/);
  });

  test(`${cases(5000)} mutated files: read or refused, never another fault`, () => {
    const place = fc.nat(good.length - 1);
    const piece = fc.oneof(
      fc.constantFrom(
        "",
        ",",
        "\n",
        '"',
        "1e99",
        "-",
        "NaN",
        "opaque",
        "bare",
        "380",
        ";",
        "\t",
        "#",
        "0,0,0",
      ),
      fc.string({ maxLength: 6 }),
    );
    let readable = 0;
    fc.assert(
      fc.property(fc.array(fc.tuple(place, fc.nat(30), piece), { minLength: 1, maxLength: 4 }), (changes) => {
        let text = good;
        for (const [at, length, by] of changes) text = text.slice(0, at) + by + text.slice(at + length);
        try {
          const file = read(text);
          readable++;
          for (const { readings } of file.films) {
            for (const { reflectance } of readings) expect(reflectance.every(Number.isFinite)).toBe(true);
          }
        } catch (error) {
          expect(error).toBeInstanceOf(SpectrumFileError);
        }
      }),
      { numRuns: cases(5000), seed: 20250 },
    );
    expect(readable).toBeGreaterThan(cases(200));
  });
});

describe("what the amounts were measured by", () => {
  const noBasis = (text: string) => text.replaceAll(",volume,", ",,");
  const asks = (text: string): unknown => {
    try {
      return read(text);
    } catch (error) {
      return doubtOf(error);
    }
  };

  test("is asked where more than one thing was poured and nothing says it, and named with its option", () => {
    expect(asks(noBasis(good))).toBe("basis");
    expect(() => read(noBasis(good))).toThrow(/row 10, field "basis".*--basis mass or --basis volume/);
    for (const basis of ["mass", "volume", "dry volume"] as const) {
      expect(readDrawdownFile(noBasis(good), "panels.csv", { basis }).films[0].basis).toBe(basis);
    }
  });

  test("a stated basis stands against an answer for those that are not", () => {
    const { films } = readDrawdownFile(good, "panels.csv", { basis: "mass" });
    expect(films[0].basis).toBe("volume");
  });

  test("is said by a comment, or by the units of the headings", () => {
    expect(read(`# basis: mass\n${noBasis(good)}`).films[0].basis).toBe("mass");
    const grams = noBasis(good)
      .replace("amount of paste", "amount of paste (g)")
      .replace("amount of binder", "amount of binder (g)");
    expect(read(grams).films[0].basis).toBe("mass");
    expect(read(grams).components).toEqual(["binder"]);
    expect(read(grams.replaceAll("(g)", "(mL)")).films[0].basis).toBe("volume");
    expect(asks(grams.replace("binder (g)", "binder (mL)"))).toBe("basis");
  });

  test("is not asked for the paste alone", () => {
    expect(read(fileOf(mass("m", "black", 0.1, ",5,0,20,"))).films).toHaveLength(1);
  });
});

test.each(["bare", "Bare card", "uncoated chart", "bare paper"])("%s is the uncoated card", (label) => {
  expect(read(good.replaceAll("\nbare,", `\n${label},`)).bare).toHaveLength(2);
});

test("an empty table to fill in is read back once something is filled in, in grams", () => {
  const empty = tableToFill({
    paste: 'Rose, "deep"',
    others: ["pw6", "binder"],
    films: ["bare card", "masstone, thin", "let-down 1:10, thick"],
    readings: "colours",
  });
  const filled = empty
    .replace(/^bare card,black.*$/m, "bare card,black,included,,,,,,,,25.9,0.1,-0.1")
    .replace(
      /^"masstone, thin",black.*$/m,
      '"masstone, thin",black,included,mass,40,0,60,,80,,29.2,11.4,-4.4',
    );
  const file = readDrawdownColours(filled, "filled.csv");
  expect(file.films).toMatchObject([
    { label: "masstone, thin", basis: "mass", amounts: [40, 0, 60], thickness: { basis: "wet", value: 80 } },
  ]);
  expect(file.bare).toHaveLength(1);
  expect(file.settings.paste).toContain("Rose");
  expect(file.notes.join()).toContain("rows without a reading were passed over: 4");
});
