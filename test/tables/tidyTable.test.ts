import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { readColourFile } from "../../src/exchange/readColourFile.ts";
import { doubtOf, type ReadingAnswers } from "../../src/tables/doubt.ts";
import { readSpectrumCsv } from "../../src/tables/spectrumFile.ts";
import { SpectrumFileError } from "../../src/tables/spectrumFileError.ts";
import { oddLines } from "../../src/tables/tableLayout.ts";
import { textOfBytes } from "../../src/tables/textOfBytes.ts";
import { findTable } from "../../src/tables/tidyTable.ts";
import { thorough } from "../howMuch.ts";

/** An export as a spreadsheet writes it: what was meant, and the faults it has. */
interface Export {
  readonly wavelengths: readonly number[];
  readonly samples: readonly { readonly label: string; readonly values: readonly number[] }[];
  readonly percent: boolean;
  readonly across: boolean;
  readonly separator: "," | ";" | "\t";
  readonly decimal: "," | ".";
  readonly thousands: boolean;
  readonly titles: readonly string[];
  readonly padded: boolean;
  readonly units: boolean;
  readonly emptyColumns: readonly number[];
  readonly emptyRows: readonly number[];
  readonly signs: boolean;
  readonly encoding: "utf-8" | "utf-16le" | "utf-16be";
  readonly mark: boolean;
  readonly lineEnd: string;
}

/** Wavelengths, some of them so long that they take a mark between thousands. */
const axes = [
  Array.from({ length: 31 }, (_, i) => 400 + 10 * i),
  Array.from({ length: 36 }, (_, i) => 380 + 10 * i),
  Array.from({ length: 17 }, (_, i) => 400 + 50 * i),
];

/** Smooth invented paints, none so dark that its scale could be doubted. */
const curve = fc.record({
  floor: fc.double({ min: 0.04, max: 0.12, noNaN: true }),
  height: fc.double({ min: 0.3, max: 0.8, noNaN: true }),
  centre: fc.integer({ min: 480, max: 620 }),
  width: fc.integer({ min: 30, max: 60 }),
});

const exported: fc.Arbitrary<Export> = fc
  .record({
    wavelengths: fc.constantFrom(...axes),
    paints: fc.array(curve, { minLength: 1, maxLength: 4 }),
    percent: fc.boolean(),
    across: fc.boolean(),
    separator: fc.constantFrom(",", ";", "\t"),
    decimal: fc.constantFrom(",", "."),
    thousands: fc.boolean(),
    titles: fc.array(
      fc.constantFrom(
        "Readings of the left seat",
        "Report no. 12, page 1",
        "Operator;Ann",
        "2031-05-04",
        "Geometry;d/8;SCI",
        "Exported 4 May; all panels",
      ),
      { maxLength: 4 },
    ),
    padded: fc.boolean(),
    units: fc.boolean(),
    emptyColumns: fc.array(fc.nat(6), { maxLength: 2 }),
    emptyRows: fc.array(fc.nat(6), { maxLength: 3 }),
    signs: fc.boolean(),
    encoding: fc.constantFrom("utf-8", "utf-16le", "utf-16be"),
    mark: fc.boolean(),
    lineEnd: fc.constantFrom("\n", "\r\n"),
  })
  .map(({ paints, ...rest }): Export => {
    const digits = rest.percent ? 2 : 4;
    const samples = paints.map(({ floor, height, centre, width }, k) => ({
      label: ["seat", "bolster, left", "lid", "arm rest"][k],
      values: rest.wavelengths.map((nm) =>
        Number(
          ((rest.percent ? 100 : 1) * (floor + height / (1 + Math.exp((centre - nm) / width)))).toFixed(
            digits,
          ),
        ),
      ),
    }));
    return { ...rest, samples, signs: rest.signs && rest.percent } as Export;
  });

/** The bytes of the file. */
function bytesOf(one: Export): Uint8Array {
  const { separator, decimal } = one;
  const number = (value: number, digits?: number): string => {
    const [whole, part] = (digits === undefined ? String(value) : value.toFixed(digits)).split(".");
    const other = decimal === "," ? "." : ",";
    const grouped = one.thousands ? whole.replace(/(?<=\d)(?=(?:\d{3})+$)/g, other) : whole;
    return part === undefined ? grouped : `${grouped}${decimal}${part}`;
  };
  const reading = (value: number) => number(value, one.percent ? 2 : 4) + (one.signs ? " %" : "");
  const unit = one.percent ? "%" : "1";
  let table = [
    ["", ...one.samples.map(({ label }) => label)],
    ...(one.units && !one.across ? [["nm", ...one.samples.map(() => unit)]] : []),
    ...one.wavelengths.map((nm, i) => [number(nm), ...one.samples.map(({ values }) => reading(values[i]))]),
  ];
  table[0][0] = one.across ? "sample" : "wavelength";
  if (one.across) {
    table = table[0].map((_, c) => table.map((row) => row[c]));
    if (one.units) table = table.map((row, k) => [row[0], k === 0 ? "unit" : unit, ...row.slice(1)]);
  }
  for (const at of one.emptyColumns) table = table.map((row) => row.toSpliced(at, 0, ""));
  for (const at of one.emptyRows)
    table.splice(
      at + 1,
      0,
      table[0].map(() => ""),
    );
  const titles = one.titles.map((title) => {
    const cells = title.split(";");
    return one.padded
      ? [...cells, ...Array<string>(Math.max(0, table[0].length - cells.length)).fill("")]
      : cells;
  });
  const quoted = (cell: string) => (/[,;\t"]/.test(cell) && cell.includes(separator) ? `"${cell}"` : cell);
  const text = [...titles, ...table].map((row) => row.map(quoted).join(separator) + one.lineEnd).join("");
  return encoded(one.mark ? `\uFEFF${text}` : text, one.encoding);
}

function encoded(text: string, encoding: Export["encoding"]): Uint8Array {
  if (encoding === "utf-8") return new TextEncoder().encode(text);
  const bytes = new Uint8Array(2 * text.length);
  const view = new DataView(bytes.buffer);
  for (let i = 0; i < text.length; i++) view.setUint16(2 * i, text.charCodeAt(i), encoding === "utf-16le");
  return bytes;
}

const said = (text: string, answers?: ReadingAnswers): string => {
  try {
    readColourFile("export.csv", text, undefined, answers);
    return "read";
  } catch (error) {
    return doubtOf(error) ?? (error as Error).message;
  }
};

describe("exports as spreadsheets write them (invented paints)", () => {
  // identity: what was written is what has to be read, to the last digit
  test("titles, units, empty columns and rows, marks of numbers, encodings: read to the very values meant", () => {
    fc.assert(
      fc.property(exported, (one) => {
        const { samples } = readSpectrumCsv(textOfBytes(bytesOf(one)), "export.csv");
        const meant = one.samples.map(({ label, values }) => ({
          label,
          wavelengths: one.wavelengths,
          values: values.map((value) => (one.percent ? value / 100 : value)),
        }));
        expect(samples).toEqual(meant);
        // The reader of all forms takes the same.
        const all = readColourFile("export.csv", textOfBytes(bytesOf(one))).samples;
        expect(all.map((sample) => sample.kind === "spectrum" && sample.values)).toEqual(
          meant.map(({ values }) => values),
        );
      }),
      { numRuns: thorough ? 300 : 30, seed: Number(process.env.BOLE_SEED ?? 11) },
    );
  });
});

const nm = axes[0];
const lines = (write: (nm: number, i: number) => string) => nm.map(write).join("\n");

describe("what only a person can tell is asked", () => {
  // common practice: 1,234 is a number with decimals in one country and one above a thousand in another
  const open = `nm;seat\n${lines((x, i) => `${x};${20 + i},${String(100 + i)}`)}\n`;

  test("numbers such as 1,234, where no other number tells", () => {
    expect(said(open)).toBe("decimal");
    expect(said(open, { decimal: "comma" })).toBe("read");
    // Twenty thousand per cent: the answer holds, and the reading is refused.
    expect(said(open, { decimal: "point" })).toContain("20100");
  });

  test("nothing is asked where one number tells", () => {
    expect(said(open.replace("20,100", "20,1"))).toBe("read");
    expect(said(open.replace("400;", "400,000;"))).toBe("read");
  });
});

describe("wrong ones are refused in words with the way out", () => {
  const good = (unit: string) =>
    `Report\nnm;seat;lid\n${unit}\n${lines((x, i) => `${x};${0.2 + i / 100};${0.3 + i / 100}`)}\n`;
  test.each<[string, string, RegExp]>([
    [
      "wavelengths in no order",
      good("nm;1;1").replace("410;", "690;"),
      /the wavelength 420 nm comes after 690 nm.*Sort/,
    ],
    [
      "more than 1.2 as fraction",
      good("nm;1;1").replace("410;0.21", "410;1.31"),
      /1.31 is outside.*check the calibration/,
    ],
    [
      "mixed units in the line of units",
      good("nm;%;1"),
      /the units are mixed: "%" stands beside "1".*all readings in per cent or all as/,
    ],
    [
      "mixed units behind the numbers",
      `nm;seat\n${lines((x, i) => `${x};${20 + i}${i === 3 ? "" : " %"}`)}\n`,
      /the units are mixed: "20 %" stands beside "23"/,
    ],
    ["wavelengths in µm", good("µm;1;1"), /not in nm but in µm. Give wavelengths in nm/],
    ["a workbook", "PK\u0003\u0004rubbish", /workbook.*save the sheet with the readings as CSV/],
    [
      "a comma and a point before decimals",
      good("nm;1;1").replace("410;0.21", "410;0,21"),
      /decimal comma.*decimal point/,
    ],
  ])("%s", (_, text, words) => {
    expect(said(text)).toMatch(words);
  });
});

describe("rows and columns can be set otherwise", () => {
  const text = `Report\nno.;nm;mean;raw\n${lines((x, i) => `${i + 7};${x};${(0.2 + i / 100).toFixed(2)};seen`)}\n`;

  test("a column of words stops the reading until it is left out", () => {
    expect(said(text)).toContain('"seen" is not a number');
    const { samples } = readSpectrumCsv(text, "export.csv", {
      scale: "fraction",
      layout: { columns: { 0: "left out", 3: "left out" } },
    });
    expect(samples).toEqual([
      { label: "mean", wavelengths: nm, values: nm.map((_, i) => Number((0.2 + i / 100).toFixed(2))) },
    ]);
  });

  test("lines that stop the reading are found wherever they stand, so that they can be shown", () => {
    const along = ["sample", ...nm, "L*"].join(";");
    const across = `${along}\nseat;${nm.map(() => 0.2).join(";")};51\n`;
    for (const [table, odd] of [
      [`${text}Mean;;0.3;\n`, { rows: [2 + nm.length], columns: [1, 3] }],
      [across, { rows: [], columns: [nm.length + 1] }],
      [`nm;seat\n${lines((x) => `${x};0.2`)}\n`, { rows: [], columns: [] }],
    ] as const) {
      const found = findTable(table, "export.csv")!;
      const { rows, columns } = oddLines(found.rows, found.layout);
      expect(rows).toEqual(expect.arrayContaining(odd.rows as never));
      expect(columns).toEqual(expect.arrayContaining(odd.columns as never));
      if (odd.columns.length === 0) expect(columns).toEqual([]);
    }
  });

  test("another column for wavelengths, a row less", () => {
    const two = `a;b;seat\n${lines((x, i) => `${x};${x + 5};${0.2 + i / 100}`)}\n`;
    const { samples } = readSpectrumCsv(two, "export.csv", {
      scale: "fraction",
      layout: { columns: { 0: "left out", 1: "wavelengths" }, rows: { 2: "left out" } },
    });
    expect(samples).toHaveLength(1);
    expect(samples[0].wavelengths).toEqual(nm.slice(1).map((x) => x + 5));
  });
});

test("columns L*, a*, b* below title lines, with decimal commas", () => {
  const text = "Report;;;\nLight;D65;;\nname;L*;a*;b*\n;;;\nseat;38,5;49;27\nlid;21;0,5;0\n";
  const { samples } = readColourFile("export.csv", text);
  expect(samples).toMatchObject([
    { kind: "Lab", label: "seat", Lab: [38.5, 49, 27], illuminant: "D65" },
    { kind: "Lab", label: "lid", Lab: [21, 0.5, 0] },
  ]);
});

test("a refusal names the row of the file, title lines counted", () => {
  const text = `One\nTwo\nnm,seat\n${lines((x, i) => `${x},${i === 2 ? "n/a" : 0.2}`)}\n`;
  try {
    readSpectrumCsv(text, "export.csv");
    expect.unreachable();
  } catch (error) {
    expect(error).toBeInstanceOf(SpectrumFileError);
    expect((error as SpectrumFileError).row).toBe(6);
  }
});
