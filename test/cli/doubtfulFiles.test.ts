import { expect, test } from "vitest";
import { flatFilm, flatSpectrum, run } from "./inMemory.ts";

const lab = ["lab", "dark.csv", "--observer", "1964-10", "--illuminant", "D65"];

// identity: a reading of 1.1 is 1.1 % where the person says so, and nobody else can know.
test("a doubtful scale is refused with exit 2 and the option that settles it", async () => {
  const files = { "dark.csv": flatSpectrum(1.1) };
  const asked = await run(lab, files);
  expect(asked.code).toBe(2);
  expect(asked.complaint).toContain("--scale percent");
  expect((await run([...lab, "--scale", "percent"], files)).code).toBe(0);
});

test("K and S beyond any paint are refused by film", async () => {
  const args = ["film", "--layer", "film.csv:10", "--ground", "0.8"];
  for (const [K, S] of [
    [1e300, 1],
    [101, 1],
    [1, 10.1],
  ]) {
    const { code, complaint } = await run(args, { "film.csv": flatFilm(K, S) });
    expect(code).toBe(2);
    expect(complaint).toContain("more than any paint has");
  }
  expect((await run(args, { "film.csv": flatFilm(100, 10) })).code).toBe(0);
});

// identity: the same film with its columns or its wavelengths gone wrong, which no unit of a wavelength makes right.
test.each<[string, (nm: number) => number]>([
  ["in Å", (nm) => 10 * nm],
  ["in µm", (nm) => nm / 1000],
  ["negative", (nm) => -nm],
  ["counted from 0 to 35", (nm) => (nm - 380) / 10],
])("wavelengths %s are refused by film", async (_, wrong) => {
  const args = ["film", "--layer", "film.csv:10", "--ground", "0.8"];
  const wavelengths = Array.from({ length: 36 }, (_, i) => wrong(380 + 10 * i));
  const { code, complaint } = await run(args, { "film.csv": flatFilm(0.1, 0.1, wavelengths) });
  expect(code).toBe(2);
  expect(complaint).toMatch(/film\.csv/);
  expect(complaint).toMatch(/wavelength|nm/);
});

test("K and S exchanged: what no paint scatters is refused with its column", async () => {
  // from memory: a carbon black absorbs 20 to 30 per µm as K; no paint scatters so much.
  const args = ["film", "--layer", "film.csv:10", "--ground", "0.8"];
  expect((await run(args, { "film.csv": flatFilm(25, 0.2) })).code).toBe(0);
  const { code, complaint } = await run(args, { "film.csv": flatFilm(0.2, 25) });
  expect(code).toBe(2);
  expect(complaint).toMatch(/field "S": 25 per µm is more than any paint has/);
});

test.each(["0x1F", "0b101", "1e999", "Infinity", "1_000"])("%s is no number", async (word) => {
  const text = flatSpectrum(0.3).replace(",0.3", `,${word}`);
  const { code, complaint } = await run(lab, { "dark.csv": text });
  expect(code).toBe(2);
  expect(complaint).toContain(word);
});

// identity: the same spectrum, written with commas before the decimals that could be marks between thousands
test("numbers such as 20,125 are refused with the option that says what the comma is; UTF-16 is read", async () => {
  const nm = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
  const text = `nm;seat\n${nm.map((x, i) => `${x};${20 + i},125`).join("\n")}\n`;
  const bytes = new Uint8Array(Buffer.from(text, "utf16le"));
  const of = ["lab", "seat.csv", "--observer", "1964-10", "--illuminant", "D65"];
  const asked = await run(of, { "seat.csv": bytes });
  expect(asked.code).toBe(2);
  expect(asked.complaint).toContain("--decimal comma or --decimal point");
  const told = await run([...of, "--decimal", "comma"], { "seat.csv": bytes });
  expect(told.code).toBe(0);
  const plain = await run(of, { "seat.csv": text.replaceAll(",125", ".125") });
  expect(told.out.replace(/"notes[\s\S]*/, "")).toBe(plain.out.replace(/"notes[\s\S]*/, ""));
});
