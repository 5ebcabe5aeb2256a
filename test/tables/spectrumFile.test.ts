import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { readSpectrumCsv, SpectrumFileError, spectrumFileLimits } from "../../src/tables/spectrumFile.ts";
import { cases } from "../howMuch.ts";

const wavelengths = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const red = wavelengths.map((nm) => (nm < 590 ? 0.05 : 0.6));
const grey = wavelengths.map(() => 0.25);

const columns = (separator = ",", number: (value: number) => string = String) =>
  [
    ["nm", "red", "grey"].join(separator),
    ...wavelengths.map((nm, i) => [number(nm), number(red[i]), number(grey[i])].join(separator)),
  ].join("\n");

const decimalComma = (value: number) => String(value).replace(".", ",");

describe("readSpectrumCsv reads", () => {
  const expected = [
    { label: "red", wavelengths, values: red },
    { label: "grey", wavelengths, values: grey },
  ];

  test.each([
    ["commas", columns()],
    ["semicolons", columns(";")],
    ["tabs", columns("\t")],
    ["semicolons with decimal commas", columns(";", decimalComma)],
    ["tabs with decimal commas", columns("\t", decimalComma)],
    ["a byte-order mark and Windows line ends", `\uFEFF${columns().replaceAll("\n", "\r\n")}\r\n`],
    ["old line ends", columns().replaceAll("\n", "\r")],
    ["comments and empty lines", `# instrument: invented\n\n${columns()}\n\n# end\n`],
    ["quoted fields", columns().replace("nm,red,grey", '"nm","red","grey"')],
    ["a separator at the end of each line", columns(";").replaceAll("\n", ";\n").concat(";")],
    ["wavelengths with their unit", columns().replace(/^(\d+),/gm, "$1 nm,")],
    [
      "wavelengths along the first row",
      [
        ["name", ...wavelengths],
        ["red", ...red],
        ["grey", ...grey],
      ]
        .map((row) => row.join(","))
        .join("\n"),
    ],
  ])("%s", (_, text) => {
    expect(readSpectrumCsv(text, "panel.csv").samples).toEqual(expected);
  });

  test("per cent, and says so", () => {
    const file = readSpectrumCsv(
      columns(",", (value) => (value >= 380 ? String(value) : (value * 100).toFixed(2))),
      "panel.csv",
    );
    for (const [i, value] of file.samples[0].values.entries()) expect(value).toBeCloseTo(red[i], 12); // identity: ÷ 100
    expect(file.notes.join("\n")).toMatch(/read as per cent and divided by 100, because some are above 1.5/);
  });

  test("a dark sample in per cent by its heading, and says so", () => {
    const text = columns().replace("nm,red,grey", "nm,R %,R %");
    const file = readSpectrumCsv(text, "panel.csv");
    expect(file.samples.map(({ label }) => label)).toEqual(["R %", "R % (2)"]);
    expect(file.samples[0].values[0]).toBeCloseTo(0.0005, 12); // identity: 0.05 %
    expect(file.notes.join("\n")).toContain('because the heading has "%"');
  });

  test("a tint of 10 % as a name, not as a unit", () => {
    const text = columns().replace("nm,red,grey", "nm,tint 10 %,tint 50%");
    expect(readSpectrumCsv(text, "panel.csv").samples[0].values).toEqual(red);
  });

  test("fractions, and says so with the largest", () => {
    expect(readSpectrumCsv(columns(), "panel.csv").notes).toContain(
      "values read as fractions (0 to 1); the largest is 0.6",
    );
  });

  test("columns without a heading, and names the samples", () => {
    const file = readSpectrumCsv(columns().split("\n").slice(1).join("\n"), "panel.csv");
    expect(file.samples.map(({ label }) => label)).toEqual(["Sample 1", "Sample 2"]);
    expect(file.samples[1].values).toEqual(grey);
    expect(file.notes).toContain("there is no heading row");
    expect(file.notes.join("\n")).toContain("Sample 1, Sample 2");
  });

  test("rows without names, and leaves out further columns aloud", () => {
    const plain = readSpectrumCsv([wavelengths, red].map((row) => row.join(";")).join("\n"), "panel.csv");
    expect(plain.samples).toEqual([{ label: "Sample 1", wavelengths, values: red }]);
    const dated = readSpectrumCsv(
      [
        ["name", "date", ...wavelengths],
        ["red", "2024-05-01", ...red],
      ]
        .map((row) => row.join(";"))
        .join("\n"),
      "panel.csv",
    );
    expect(dated.samples).toEqual([{ label: "red", wavelengths, values: red }]);
    expect(dated.notes.join("\n")).toContain("left out: date");
  });

  test("readings slightly below zero as they are, and says so", () => {
    const file = readSpectrumCsv(columns().replace("380,0.05", "380,-0.004"), "panel.csv");
    expect(file.samples[0].values[0]).toBe(-0.004);
    expect(file.notes).toContain("values slightly below 0 were kept as they are: 1");
  });
});

describe("readSpectrumCsv refuses", () => {
  const changed = (from: string | RegExp, to: string) => columns().replace(from, to);
  test.each<[string, string, RegExp, number?, string?]>([
    ["an empty file", "", /panel\.csv: the file is empty/],
    ["a file of comments", "# nothing\n\n", /the file is empty/],
    ["a short spectrum", columns().split("\n").slice(0, 8).join("\n"), /only 7 wavelengths, and at least 8/],
    ["a single column", "380\n390\n400", /only one column/],
    ["prose", "Dear colleague, here are the readings\nas promised, best wishes", /no wavelengths were found/],
    ["a spreadsheet file", "PK\u0003\u0004stuff", /not a text file/],
    ["a word among the readings", changed("400,0.05", "400,n/a"), /"n\/a" is not a number/, 4, "red"],
    ["an empty field", changed("400,0.05", "400,"), /an empty field is not a number/, 4, "red"],
    ["not-a-number", changed("400,0.05", "400,NaN"), /"NaN" is not a number/, 4, "red"],
    ["infinity", changed("400,0.05", "400,1e999"), /"1e999" is not a number/, 4, "red"],
    [
      "a word among the wavelengths",
      changed("400,0.05", "violet,0.05"),
      /"violet" is not a wavelength/,
      4,
      "nm",
    ],
    [
      "a wavelength in µm",
      changed("400,0.05", "0.4,0.05"),
      /outside the allowed range 200 to 2600 nm/,
      4,
      "nm",
    ],
    ["a repeated wavelength", changed("400,0.05", "390,0.05"), /390 nm appears twice/, 4, "nm"],
    ["a falling wavelength", changed("400,0.05", "385,0.05"), /385 nm comes after 390 nm/, 4, "nm"],
    [
      "a negative reflectance",
      changed("400,0.05", "400,-0.02"),
      /-0.02 is outside the allowed range -0.01 to 1.2/,
      4,
      "red",
    ],
    [
      "a reflectance above 1.2",
      changed("400,0.05", "400,1.3"),
      /1.3 is outside the allowed range -0.01 to 1.2/,
      4,
      "red",
    ],
    [
      "a reflectance above 120 %",
      changed("400,0.05", "400,130"),
      /the reflectance 130 is outside the allowed range -0.01 to 1.2/,
      4,
      "red",
    ],
    ["a row that is too short", changed("400,0.05,0.25", "400,0.05"), /2 fields, but the first row has 3/, 4],
    [
      "a row that is too long",
      changed("400,0.05,0.25", "400,0.05,0.25,7"),
      /4 fields, but the first row has 3/,
      4,
    ],
    ["an open quotation mark", changed("nm,red", 'nm,"red'), /quotation mark is out of place/],
    [
      "decimal comma and point in one file",
      columns(";").replace("400;0.05", "400;0,05"),
      /decimal comma.*decimal point/,
      4,
    ],
    ["decimal commas between commas", columns(",", decimalComma), /fields, but the first row has 3/],
  ])("%s", (_, text, message, row, field) => {
    const error = errorOf(text);
    expect(error.message).toMatch(message);
    expect(error.message).toContain("panel.csv");
    if (row !== undefined) expect(error.row).toBe(row);
    if (field !== undefined) {
      expect(error.field).toBe(field);
      expect(error.message).toContain(`row ${row}, field "${field}"`);
    }
  });

  test("a file above 10 MB before it is parsed", () => {
    const start = performance.now();
    expect(errorOf("x".repeat(spectrumFileLimits.characters + 1)).message).toMatch(/larger than 10 MB/);
    expect(performance.now() - start).toBeLessThan(1000);
  });

  test("a file of ten million characters with too many rows", () => {
    expect(errorOf("1,2\n".repeat(2_600_000)).message).toMatch(/more than 10000 rows/);
  });
});

describe("mended faults of readSpectrumCsv", () => {
  // Nine samples named 401 to 409: names that look like wavelengths, and as they rise they could be some.
  const names = Array.from({ length: 9 }, (_, i) => String(401 + i));
  const readings = (nm: number, i: number) => String(Number((0.05 + nm / 4000 + i / 100).toFixed(4)));
  const down = (corner: string, at: readonly number[] = wavelengths.slice(0, 8)) =>
    [[corner, ...names], ...at.map((nm) => [String(nm), ...names.map((_, i) => readings(nm, i))])]
      .map((row) => row.join(","))
      .join("\n");
  const across = (corner: string) =>
    [[corner, ...wavelengths], ...names.map((name, i) => [name, ...wavelengths.map((nm) => readings(nm, i))])]
      .map((row) => row.join(","))
      .join("\n");

  test.each(["wavelength_nm", "nm", "Wavelength (nm)", "λ"])(
    "samples with numbers for names are columns when the corner says %s, not wavelengths read the wrong way",
    (corner) => {
      const { samples } = readSpectrumCsv(down(corner), "numbered.csv");
      expect(samples.map(({ label }) => label)).toEqual(names);
      expect(samples[2].wavelengths).toEqual(wavelengths.slice(0, 8));
      expect(samples[2].values[0]).toBe(Number(readings(380, 2)));
    },
  );

  test("they are rows when the corner says that names stand below it", () => {
    const { samples } = readSpectrumCsv(across("Sample name"), "numbered.csv");
    expect(samples.map(({ label }) => label)).toEqual(names);
    expect(samples[8].wavelengths).toEqual(wavelengths);
  });

  test.each(["", "no.", "nm \\ sample"])("they are refused as ambiguous under the corner “%s”", (corner) => {
    for (const text of [down(corner), across(corner)]) {
      expect(() => readSpectrumCsv(text, "numbered.csv")).toThrow(
        /numbered\.csv: first row and first column could both be wavelengths\. Write "wavelength_nm"/,
      );
    }
  });

  test.each([
    ["a comma and a quotation mark", ',"'],
    ["a semicolon and an empty line", ";\n"],
    ["a comment in quotation marks", '"#a",b\n'],
    ["separators only", ",,,\n,,,\n"],
  ])("a file of %s is refused and no fault of the program", (_, text) => {
    const error = errorOf(text);
    expect(error).toBeInstanceOf(SpectrumFileError);
    expect(error.message).toMatch(/^panel\.csv/);
  });

  test("a field of very many blanks before nm takes no longer than the file is long", () => {
    const text = columns().replace("400,", `400${" ".repeat(200_000)}x,`);
    const start = performance.now();
    expect(errorOf(text).message).toMatch(/is not a wavelength/);
    // With a pattern that tries every blank this takes most of a minute.
    expect(performance.now() - start).toBeLessThan(500);
  });
});

describe("readSpectrumCsv on any text", () => {
  const isWhole = (text: string) => {
    try {
      const { samples, notes } = readSpectrumCsv(text, "any.csv");
      expect(samples.length).toBeGreaterThan(0);
      expect(notes.length).toBeGreaterThan(0);
      for (const sample of samples) {
        expect(sample.values).toHaveLength(sample.wavelengths.length);
        expect(sample.values.every((value) => value >= -0.01 && value <= 1.2)).toBe(true);
        expect(sample.wavelengths.every((nm, i) => i === 0 || nm > sample.wavelengths[i - 1])).toBe(true);
      }
    } catch (error) {
      if (!(error instanceof SpectrumFileError)) throw error;
      expect(error.message.startsWith("any.csv")).toBe(true);
    }
  };

  test("gives numbers in range or its own error", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 300 }), (text) => isWhole(text)),
      { numRuns: cases(500) },
    );
  });

  test("the same for a good file with pieces replaced", () => {
    const piece = fc.oneof(
      fc.string({ maxLength: 8 }),
      fc.constantFrom(
        ",",
        ";",
        "\t",
        "\n",
        '"',
        "#",
        "NaN",
        "1e999",
        "-0",
        "380",
        "%",
        "\u0000",
        "\r",
        "__proto__",
      ),
    );
    const good = fc.constantFrom(columns(), columns(";", decimalComma), columns("\t"));
    fc.assert(
      fc.property(
        good,
        fc.array(fc.tuple(fc.nat(), fc.nat(12), piece), { maxLength: 6 }),
        (text, changes) => {
          for (const [at, removed, added] of changes) {
            const from = at % (text.length + 1);
            text = text.slice(0, from) + added + text.slice(from + removed);
          }
          isWhole(text);
        },
      ),
      { numRuns: cases(1000) },
    );
  });

  test("reads back any spectrum that was written in its own form", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 8, maxLength: 36 }),
        fc.constantFrom(",", ";", "\t"),
        (values, separator) => {
          const text = [
            `nm${separator}a`,
            ...values.map((value, i) => `${380 + 10 * i}${separator}${value}`),
          ].join("\n");
          // Noise is no paint: its scale and its jumps are answered.
          const answers = { scale: "fraction", jumps: "keep" } as const;
          expect(readSpectrumCsv(text, "own.csv", answers).samples[0].values).toEqual(
            values.map((value) => value + 0),
          );
        },
      ),
    );
  });
});

function errorOf(text: string): SpectrumFileError {
  try {
    readSpectrumCsv(text, "panel.csv");
  } catch (error) {
    if (error instanceof SpectrumFileError) return error;
    throw error;
  }
  throw new Error("the file was read");
}
