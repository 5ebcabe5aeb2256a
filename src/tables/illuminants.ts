import csv from "../../data/colorimetry/illuminants.csv?raw";
import { type IlluminantTable, illuminantAPower } from "../colour/illuminant.ts";
import { type CsvTable, parseCsvTable } from "./csvTable.ts";

const file = "illuminants.csv";
let whole: CsvTable | undefined;
const read = new Map<string, IlluminantTable>();

function csvTable(): CsvTable {
  whole ??= parseCsvTable(csv, file);
  return whole;
}

/** Names of all tabulated lights: "A", "D65", "FL11", "LED-B3" … */
export const illuminantNames: readonly string[] = Object.freeze(
  csvTable().columns.filter((name) => name !== "wavelength_nm"),
);

/**
 * The table's name of a light: the classic fluorescent lamps F1…F12 are FL1…FL12 there.
 * @throws RangeError for an unknown light
 */
export function illuminantName(name: string): string {
  const known = /^F\d/.test(name) ? name.replace("F", "FL") : name;
  if (!illuminantNames.includes(known)) {
    throw new RangeError(`light "${name}" is unknown; known: ${illuminantNames.join(", ")}`);
  }
  return known;
}

/**
 * Relative spectral power of a light over the wavelengths where it is tabulated; read once.
 * Illuminant A is defined by a formula and comes from it, every 1 nm from 300 to 830 nm.
 * @param name as in `illuminantNames`, or "F2", "F11" …
 * @throws RangeError for an unknown light
 */
export function illuminantTable(name: string): IlluminantTable {
  const known = illuminantName(name);
  let table = read.get(known);
  if (table === undefined) {
    table = known === "A" ? illuminantA() : tabulatedIlluminant(known);
    read.set(known, table);
  }
  return table;
}

function illuminantA(): IlluminantTable {
  const wavelengths = Float64Array.from({ length: 531 }, (_, i) => 300 + i);
  return Object.freeze({
    name: "A",
    wavelengths,
    power: wavelengths.map((wavelength) => illuminantAPower(wavelength)),
    beyond: "held",
  });
}

/** The values as printed, A included. @throws RangeError for an unknown light */
export function tabulatedIlluminant(name: string): IlluminantTable {
  return tabulated(illuminantName(name));
}

/** What kind of lamp a light is, in words. Source: CIE 15:2004 and CIE 015:2018, headings of the tables (from memory). */
const kinds: Readonly<Record<string, string>> = {
  A: "incandescent",
  C: "average daylight, older",
  D50: "horizon daylight",
  D55: "mid-morning daylight",
  D60: "daylight 6000 K",
  D65: "daylight",
  D75: "north-sky daylight",
  ID50: "indoor daylight 5000 K",
  ID65: "indoor daylight 6500 K",
  FL1: "daylight fluorescent",
  FL2: "cool white fluorescent",
  FL3: "white fluorescent",
  FL4: "warm white fluorescent",
  FL5: "daylight fluorescent",
  FL6: "light white fluorescent",
  FL7: "broad-band daylight fluorescent",
  FL8: "broad-band 5000 K fluorescent",
  FL9: "broad-band cool white fluorescent",
  FL10: "three-band 5000 K lamp",
  FL11: "three-band lamp",
  FL12: "three-band 3000 K lamp",
  "FL3.1": "standard fluorescent, warm",
  "FL3.2": "standard fluorescent, cool",
  "FL3.3": "standard fluorescent, daylight",
  "FL3.4": "de luxe fluorescent, warm",
  "FL3.5": "de luxe fluorescent, cool",
  "FL3.6": "de luxe fluorescent, daylight",
  "FL3.7": "three-band fluorescent, warm",
  "FL3.8": "three-band fluorescent, cool",
  "FL3.9": "three-band fluorescent, daylight",
  "FL3.10": "three-band fluorescent, 5000 K",
  "FL3.11": "three-band fluorescent, 5900 K",
  "FL3.12": "multi-band fluorescent, warm",
  "FL3.13": "multi-band fluorescent, cool",
  "FL3.14": "multi-band fluorescent, daylight",
  "FL3.15": "daylight simulator fluorescent",
  HP1: "high-pressure sodium lamp",
  HP2: "colour-enhanced high-pressure sodium lamp",
  HP3: "metal halide lamp, warm",
  HP4: "metal halide lamp, cool",
  HP5: "metal halide lamp, cool",
  "LED-B1": "white LED 2700 K",
  "LED-B2": "white LED 3000 K",
  "LED-B3": "white LED 4100 K",
  "LED-B4": "white LED 5100 K",
  "LED-B5": "white LED 6600 K",
  "LED-BH1": "white LED with red chip, 2900 K",
  "LED-RGB1": "red, green and blue LED, 2800 K",
  "LED-V1": "violet-pumped LED 2700 K",
  "LED-V2": "violet-pumped LED 4100 K",
};

/** A light in words: "D65 daylight", "FL11 three-band lamp". @throws RangeError for an unknown light */
export function labelOfIlluminant(name: string): string {
  const known = illuminantName(name);
  return Object.hasOwn(kinds, known) ? `${known} ${kinds[known]}` : known;
}

function tabulated(name: string): IlluminantTable {
  const wavelengths: number[] = [];
  const power: number[] = [];
  for (const row of csvTable().rows) {
    const value = row.optionalNumber(name);
    if (value === undefined) continue;
    wavelengths.push(row.number("wavelength_nm"));
    power.push(value);
  }
  return Object.freeze({
    name,
    wavelengths: Float64Array.from(wavelengths),
    power: Float64Array.from(power),
    beyond: /^(FL|HP|LED)/.test(name) ? "dark" : "held",
  });
}

/** Every light of the table as a choice. */
export const lightOptions = illuminantNames.map((name) => ({ value: name, label: labelOfIlluminant(name) }));
