import type { ReadingAnswers } from "../tables/doubt.ts";
import { refuseOtherKind } from "../tables/readingKind.ts";
import type { PlacedReading } from "../tables/readingScale.ts";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import { numberOf } from "../tables/spectrumFileText.ts";
import { type CgatsTable, cgatsTables } from "./cgatsText.ts";
import {
  type ColourFile,
  type ColourSample,
  type Conditions,
  colourLimits,
  distinctLabels,
} from "./colourSample.ts";
import { illuminantIn, observerIn, specularIn } from "./conditionWords.ts";
import { checkLab, toFractions, toXYZ100 } from "./readingScale.ts";

/**
 * Reads CGATS.17 text: reflectance spectra (fields such as SPECTRAL_NM_400, nm400, SPEC_400, or pairs of SPECTRAL_NM and
 * SPECTRAL_PCT or SPECTRAL_DEC), LAB_L LAB_A LAB_B, XYZ_X XYZ_Y XYZ_Z, in one or several tables. A row with a spectrum
 * becomes a spectrum (its Lab kept as reported), else Lab, else XYZ.
 *
 * @throws SpectrumFileError that names file, row and field
 * Source: CGATS.17 (ANSI CGATS.17-2009, ISO 28178; from memory).
 */
export function readCgats(text: string, file: string, answers: ReadingAnswers = {}): ColourFile {
  const assumptions: string[] = [];
  const tables = cgatsTables(text, file, assumptions);
  const numbers = new Numbers(file);
  const samples = tables.flatMap((table, i) => {
    const notes: string[] = [];
    const found = samplesOf(table, file, numbers, notes, answers);
    const where = tables.length > 1 ? `table ${i + 1}: ` : "";
    assumptions.push(...notes.map((note) => where + note));
    return found;
  });
  if (numbers.commas > 0) assumptions.push("commas in numbers read as decimal commas");
  if (samples.length === 0) {
    throw new SpectrumFileError(
      file,
      "there is no complete sample with a spectrum, Lab or XYZ",
      "Export fields such as SPECTRAL_NM_400, LAB_L LAB_A LAB_B or XYZ_X XYZ_Y XYZ_Z",
    );
  }
  if (samples.length > colourLimits.samples) {
    throw new SpectrumFileError(
      file,
      `there are more than ${colourLimits.samples} samples`,
      "Split the file",
    );
  }
  const labels = distinctLabels(samples.map((sample) => sample.label));
  return {
    form: "CGATS",
    samples: samples.map((sample, i) => ({ ...sample, label: labels[i] })),
    assumptions,
  };
}

/** Numbers with a decimal point or comma, but not both in one file. */
class Numbers {
  commas = 0;
  #points = 0;
  readonly #file: string;

  constructor(file: string) {
    this.#file = file;
  }

  /** undefined for an empty word or one that says "no value" */
  read(word: string, row: number, field: string): number | undefined {
    if (/^(?:|-+|n\/?a|nan|null|none)$/i.test(word)) return undefined;
    const comma = /^[+-]?\d*,\d*(?:[eE][+-]?\d{1,3})?$/.test(word);
    const plain = comma ? word.replace(",", ".") : word;
    const value = numberOf(plain);
    if (value === undefined) {
      const shown = word.length > 40 ? `${word.slice(0, 40)}…` : word;
      throw new SpectrumFileError(
        this.#file,
        `"${shown}" is not a number`,
        "Give a plain number",
        row,
        field,
      );
    }
    if (comma) this.commas++;
    else if (plain.includes(".")) this.#points++;
    if (this.commas > 0 && this.#points > 0) {
      throw new SpectrumFileError(
        this.#file,
        "some numbers have a decimal comma, others a decimal point",
        "Use one of the two in the whole file",
        row,
        field,
      );
    }
    return value;
  }
}

interface Columns {
  name?: number;
  id?: number;
  /** column of each wavelength, in rising order; empty for the form in pairs */
  bands: { nm: number; column: number }[];
  /** columns of wavelength and reading, for the form in pairs */
  pairs: { nm: number; reading: number }[];
  scale: "fraction" | "percent" | undefined;
  Lab?: [number, number, number];
  XYZ?: [number, number, number];
}

// "SPECTRAL_NM_400", "SPECTRAL_NM400", "SPECTRAL_400", "SPEC_400", "NM_400", "nm400", "R_400", "R400", "400nm", "400".
const band = /^(?:SPECTRAL_?(?:NM)?_?|SPEC_?|NM_?|R_?)?(\d{3,4}(?:[.,]\d+)?)_?(?:NM)?$/i;

function columnsOf({ fields, keywords }: CgatsTable, file: string): Columns {
  const columns: Columns = { bands: [], pairs: [], scale: undefined };
  const upper = fields.map((field) => field.toUpperCase());
  const triple = (names: string[]): [number, number, number] | undefined => {
    const found = names.map((name) => upper.indexOf(name));
    return found.every((column) => column >= 0) ? [found[0], found[1], found[2]] : undefined;
  };
  const seen = new Set<string>();
  const repeated = upper.find((field) => {
    const again = seen.has(field) && !/^SPECTRAL_(?:NM|PCT|DEC)$/.test(field);
    seen.add(field);
    return again;
  });
  if (repeated !== undefined) {
    throw new SpectrumFileError(file, "a field appears twice", "Keep one of the two", undefined, repeated);
  }
  columns.Lab = triple(["LAB_L", "LAB_A", "LAB_B"]);
  columns.XYZ = triple(["XYZ_X", "XYZ_Y", "XYZ_Z"]);
  columns.name = first(upper, ["SAMPLE_NAME", "SAMPLENAME", "NAME", "SAMPLE_ID2", "PATCH_NAME"]);
  columns.id = first(upper, ["SAMPLE_ID", "SAMPLEID", "ID", "SAMPLE_LOC", "PATCH"]);
  upper.forEach((field, column) => {
    if (field === "SPECTRAL_NM") {
      const next = upper[column + 1];
      if (next !== "SPECTRAL_PCT" && next !== "SPECTRAL_DEC") {
        throw new SpectrumFileError(
          file,
          "SPECTRAL_NM is not followed by SPECTRAL_PCT or SPECTRAL_DEC",
          "Give wavelength and reading in pairs",
          undefined,
          `column ${column + 1}`,
        );
      }
      columns.pairs.push({ nm: column, reading: column + 1 });
      columns.scale = next === "SPECTRAL_PCT" ? "percent" : "fraction";
      return;
    }
    const match = band.exec(field);
    const nm = match ? Number(match[1].replace(",", ".")) : Number.NaN;
    if (nm >= colourLimits.nm.least && nm <= colourLimits.nm.most) columns.bands.push({ nm, column });
  });
  const kinds = new Set(columns.pairs.map(({ reading }) => upper[reading]));
  if (kinds.size > 1) {
    throw new SpectrumFileError(file, "SPECTRAL_PCT and SPECTRAL_DEC are mixed", "Use one of the two");
  }
  if (columns.bands.length > 0 && columns.pairs.length > 0) {
    throw new SpectrumFileError(file, "there are spectra in two forms", "Keep one of them");
  }
  columns.bands.sort((a, b) => a.nm - b.nm);
  columns.bands.forEach(({ nm }, i) => {
    if (i > 0 && nm === columns.bands[i - 1].nm) {
      throw new SpectrumFileError(file, `the wavelength ${nm} nm appears twice`, "Keep one of the two");
    }
  });
  const steps = columns.bands.slice(1).map(({ nm }, i) => nm - columns.bands[i].nm);
  const usual = [...steps].sort((a, b) => a - b)[steps.length >> 1];
  const gap = steps.findIndex((step) => step > 50 && step > 3 * usual);
  if (gap >= 0) {
    const lone = gap + 1 < columns.bands.length / 2 ? gap : gap + 1;
    throw new SpectrumFileError(
      file,
      `the field stands ${steps[gap]} nm from the other wavelengths, which go by ${usual} nm`,
      "Name it otherwise if it is no wavelength, or add those between",
      undefined,
      fields[columns.bands[lone].column],
    );
  }
  const norm = keywords.get("SPECTRAL_NORM")?.at(-1);
  if (norm !== undefined) {
    const value = Number(norm);
    if (value === 1) columns.scale = "fraction";
    else if (value === 100) columns.scale = "percent";
    else {
      throw new SpectrumFileError(file, `SPECTRAL_NORM is "${norm}"`, "1 and 100 are understood");
    }
  }
  return columns;
}

function first(fields: readonly string[], names: readonly string[]): number | undefined {
  const found = names.map((name) => fields.indexOf(name)).find((column) => column >= 0);
  return found;
}

interface Row {
  readonly row: number;
  readonly label: string;
  readonly spectrum?: { wavelengths: number[]; readings: PlacedReading[] };
  readonly Lab?: [number, number, number];
  readonly XYZ?: readonly number[];
}

function samplesOf(
  table: CgatsTable,
  file: string,
  numbers: Numbers,
  assumptions: string[],
  answers: ReadingAnswers,
): ColourSample[] {
  const columns = columnsOf(table, file);
  if (columns.bands.length + columns.pairs.length > 0) {
    for (const keyword of kindKeywords)
      for (const value of table.keywords.get(keyword) ?? []) refuseOtherKind(value, file, keyword);
  }
  const bandCount = columns.bands.length + columns.pairs.length;
  const { least, most } = colourLimits.wavelengths;
  if (bandCount > 0 && (bandCount < least || bandCount > most)) {
    throw new SpectrumFileError(
      file,
      `there are ${bandCount} wavelengths, and ${least} to ${most} are needed`,
      "Export the whole spectrum",
    );
  }
  if (bandCount === 0 && !columns.Lab && !columns.XYZ) {
    assumptions.push("no spectrum, Lab or XYZ in it: passed over");
    return [];
  }
  const incomplete: string[] = [];
  const rows: Row[] = [];
  for (const { row, words } of table.rows) {
    const label = words[columns.name ?? -1] || words[columns.id ?? -1] || "";
    const read = (column: number) => numbers.read(words[column], row, table.fields[column]);
    const triple = (at: [number, number, number] | undefined): [number, number, number] | undefined => {
      const values = at?.map(read);
      return values?.every((value) => value !== undefined) ? (values as [number, number, number]) : undefined;
    };
    const Lab = triple(columns.Lab);
    const entry: Row = {
      row,
      label,
      spectrum: bandCount > 0 ? spectrumOf(columns, table, row, read, file) : undefined,
      Lab: Lab && checkLab(Lab, file, row, "LAB_L"),
      XYZ: triple(columns.XYZ),
    };
    if (bandCount > 0 ? entry.spectrum : (entry.Lab ?? entry.XYZ)) rows.push(entry);
    else incomplete.push(label || `row ${row}`);
  }
  if (incomplete.length > 0) {
    const named = incomplete.slice(0, 5).join(", ");
    const more = incomplete.length > 5 ? ` and ${incomplete.length - 5} more` : "";
    assumptions.push(`samples with missing values left out: ${named}${more}`);
  }
  if (rows.length === 0) return [];
  return toSamples(rows, columns, table, file, assumptions, answers);
}

function spectrumOf(
  columns: Columns,
  { fields }: CgatsTable,
  row: number,
  read: (column: number) => number | undefined,
  file: string,
): Row["spectrum"] {
  const wavelengths: number[] = [];
  const readings: PlacedReading[] = [];
  const bands =
    columns.bands.length > 0
      ? columns.bands
      : columns.pairs.map(({ nm, reading }) => ({ nm: read(nm), column: reading }));
  let complete = true;
  for (const { nm, column } of bands) {
    const value = read(column);
    if (nm === undefined || value === undefined) complete = false;
    else {
      const { least, most } = colourLimits.nm;
      if (!(nm >= least && nm <= most)) {
        throw new SpectrumFileError(
          file,
          `the wavelength ${nm} nm is outside ${least} to ${most} nm`,
          "Check it",
          row,
        );
      }
      if (wavelengths.length > 0 && nm <= wavelengths[wavelengths.length - 1]) {
        throw new SpectrumFileError(file, `the wavelength ${nm} nm does not rise`, "Sort them", row);
      }
      wavelengths.push(nm);
      readings.push({ value, row, field: fields[column] });
    }
  }
  return complete ? { wavelengths, readings } : undefined;
}

function toSamples(
  rows: readonly Row[],
  columns: Columns,
  { keywords }: CgatsTable,
  file: string,
  assumptions: string[],
  answers: ReadingAnswers,
): ColourSample[] {
  const conditions = conditionsOf(keywords);
  const specular = specularOf(keywords, assumptions);
  const withSpectrum = rows.filter((row) => row.spectrum !== undefined);
  const fractions = withSpectrum.length
    ? toFractions(
        withSpectrum.map((row) => row.spectrum!.readings),
        columns.scale,
        file,
        assumptions,
        answers,
      )
    : [];
  const withXYZ = rows.filter((row) => row.spectrum === undefined && row.Lab === undefined);
  const XYZ = withXYZ.length
    ? toXYZ100(
        withXYZ.map((row) => ({ XYZ: row.XYZ!, row: row.row, field: "XYZ_X" })),
        "standard",
        file,
        assumptions,
        answers,
      )
    : [];
  if (rows.some((row) => row.spectrum === undefined)) saySo(conditions, assumptions);
  let spectra = 0;
  let stimuli = 0;
  return rows.map((row): ColourSample => {
    const { label, Lab } = row;
    if (row.spectrum) {
      const values = fractions[spectra++];
      const reported = Lab && { Lab, ...conditions };
      return { kind: "spectrum", label, wavelengths: row.spectrum.wavelengths, values, specular, reported };
    }
    if (Lab) return { kind: "Lab", label, Lab, ...conditions, specular };
    return { kind: "XYZ", label, XYZ: XYZ[stimuli++], ...conditions, specular };
  });
}

/** Keywords that may say what was measured. */
const kindKeywords = ["MEASUREMENT_SOURCE", "MEASUREMENT_TYPE", "MEASUREMENT_MODE", "SPECTRAL_TYPE"];

/** Keywords that may name the light and the observer. */
const conditionKeywords = [
  "ILLUMINATION_NAME",
  "ILLUMINANT",
  "OBSERVER_ANGLE",
  "OBSERVER",
  "WEIGHTING_FUNCTION",
  "MEASUREMENT_SOURCE",
  "COMPUTATIONAL_PARAMETER",
];

function conditionsOf(keywords: CgatsTable["keywords"]): Conditions {
  let illuminant: string | undefined;
  let observer: Conditions["observer"];
  for (const keyword of conditionKeywords) {
    for (const value of keywords.get(keyword) ?? []) {
      illuminant ??= keyword.startsWith("OBSERVER") ? undefined : illuminantIn(value);
      observer ??= keyword.startsWith("ILLUMI") ? undefined : observerIn(value);
    }
  }
  return { observer, illuminant };
}

function specularOf(keywords: CgatsTable["keywords"], assumptions: string[]): ColourSample["specular"] {
  for (const keyword of [
    "SPECULAR",
    "MEASUREMENT_GEOMETRY",
    "GEOMETRY",
    "MEASUREMENT_SOURCE",
    "INSTRUMENTATION",
  ]) {
    for (const value of keywords.get(keyword) ?? []) {
      const said = specularIn(value);
      if (!said) continue;
      assumptions.push(`mirror reflection ${said.mode}, because ${keyword} says "${said.because}"`);
      return said.mode;
    }
  }
  assumptions.push("the file does not say whether the mirror reflection is included");
  return undefined;
}

function saySo({ observer, illuminant }: Conditions, assumptions: string[]): void {
  if (observer === undefined)
    assumptions.push("the file does not say for which observer the colours are stated");
  if (illuminant === undefined)
    assumptions.push("the file does not say for which light the colours are stated");
}
