import { SpectrumFileError } from "./spectrumFileError.ts";
import {
  columnForm,
  directionOf,
  fewestWavelengths,
  rowForm,
  type SpectrumCells,
} from "./spectrumFileForms.ts";
import { readCells } from "./spectrumFileText.ts";

export { SpectrumFileError } from "./spectrumFileError.ts";

/** One measured reflectance of a file: fractions on the wavelengths of the file, nm. */
interface SpectrumSample {
  label: string;
  wavelengths: number[];
  values: number[];
}

/** What a file holds, and in words what was assumed to read it. */
interface SpectrumFile {
  samples: SpectrumSample[];
  notes: string[];
}

/** Limits of a file that is read. */
export const spectrumFileLimits = {
  characters: 10 * 1024 * 1024,
  wavelengths: { least: fewestWavelengths, most: 2000 },
  samples: 1000,
  fraction: { least: -0.01, most: 1.2 },
} as const;

/** A value above this cannot be a fraction, so the file is in per cent. */
const percentAbove = 1.5;

/**
 * Reads measured reflectances from CSV text: comma, semicolon or tab between the fields, decimal point or comma,
 * wavelengths (nm) down the first column with a column for each sample, or along the first row with a row for each
 * sample; fractions or per cent; lines that start with `#` are comments.
 *
 * Nothing is assumed in silence: `notes` tells each choice that was made. Nothing is clipped, sorted or filled in.
 *
 * @param text the text of the file   @param fileName name of the file, for messages
 * @returns fractions from −0.01 to 1.2 on strictly rising wavelengths, at least 8 of them
 * @throws SpectrumFileError that names file, row and field, what is allowed, and a way out
 */
export function readSpectrumCsv(text: string, fileName: string): SpectrumFile {
  if (text.length > spectrumFileLimits.characters) {
    throw new SpectrumFileError(
      fileName,
      "the file is larger than 10 MB",
      "Split it, or leave out what is not needed",
    );
  }
  const notes: string[] = [];
  const rows = readCells(text, fileName, notes);
  const found =
    directionOf(rows, fileName) === "across"
      ? rowForm(rows, fileName, notes)
      : columnForm(rows, fileName, notes);
  checkWavelengths(found, fileName);
  const values = toFractions(found, fileName, notes);
  const labels = distinctLabels(found.labels, notes);
  const wavelengths = found.wavelengths.map(({ value }) => value);
  return {
    samples: labels.map((label, i) => ({ label, wavelengths: [...wavelengths], values: values[i] })),
    notes,
  };
}

function checkWavelengths({ wavelengths, labels }: SpectrumCells, fileName: string): void {
  const { least, most } = spectrumFileLimits.wavelengths;
  for (let i = 1; i < wavelengths.length; i++) {
    const { value, row, field } = wavelengths[i];
    const before = wavelengths[i - 1].value;
    if (value === before) {
      throw new SpectrumFileError(
        fileName,
        `the wavelength ${value} nm appears twice`,
        "Keep one of the two",
        row,
        field,
      );
    }
    if (value < before) {
      throw new SpectrumFileError(
        fileName,
        `the wavelength ${value} nm comes after ${before} nm`,
        "Sort the wavelengths from short to long",
        row,
        field,
      );
    }
  }
  if (wavelengths.length < least) {
    throw new SpectrumFileError(
      fileName,
      `there are only ${wavelengths.length} wavelengths, and at least ${least} are needed`,
      "Export the whole spectrum, at best every 10 nm from 380 to 730 nm",
    );
  }
  if (wavelengths.length > most) {
    throw new SpectrumFileError(
      fileName,
      `there are more than ${most} wavelengths`,
      "Export every 1 nm or coarser",
    );
  }
  if (labels.length > spectrumFileLimits.samples) {
    throw new SpectrumFileError(
      fileName,
      `there are more than ${spectrumFileLimits.samples} samples`,
      "Split the file",
    );
  }
}

function toFractions(found: SpectrumCells, fileName: string, notes: string[]): number[][] {
  const all = found.readings.flat();
  const largest = all.reduce((most, { value }) => Math.max(most, value), -Infinity);
  const said = saysPercent(found.heading) || found.labels.every(saysPercent);
  const percent = largest > percentAbove || said;
  if (!percent) notes.push(`values read as fractions (0 to 1); the largest is ${largest}`);
  else if (largest > percentAbove) {
    notes.push(
      `values read as per cent and divided by 100, because some are above ${percentAbove} (largest ${largest})`,
    );
  } else
    notes.push(
      `values read as per cent and divided by 100, because the heading has "%" (largest ${largest})`,
    );

  const scale = percent ? 100 : 1;
  const { least, most } = spectrumFileLimits.fraction;
  let belowZero = 0;
  const values = found.readings.map((readings) =>
    readings.map(({ value, row, field }) => {
      const fraction = value / scale;
      if (fraction < least || fraction > most) {
        const range = percent ? `${least * 100} to ${most * 100} %` : `${least} to ${most}`;
        const wayOut = percent
          ? "Check the white and black calibration, or take a column that is no reflectance out of the file"
          : "Check the calibration; values in per cent are recognised when one is above 1.5";
        throw new SpectrumFileError(
          fileName,
          `the reflectance ${value}${percent ? " %" : ""} is outside the allowed range ${range}`,
          wayOut,
          row,
          field,
        );
      }
      if (fraction < 0) belowZero++;
      return fraction;
    }),
  );
  if (belowZero > 0) notes.push(`values slightly below 0 were kept as they are: ${belowZero}`);
  return values;
}

/** "R %" and "(%)" speak of the readings, "tint 10 %" of the paint. */
function saysPercent(label: string): boolean {
  return /(?:^|[^\d\s])\s*%/.test(label);
}

function distinctLabels(labels: string[], notes: string[]): string[] {
  const used = new Set<string>();
  const next = new Map<string, number>();
  const result = labels.map((label, i) => {
    const base = label === "" ? `Sample ${i + 1}` : label;
    let name = base;
    let number = next.get(base) ?? 2;
    for (; number <= labels.length + 1 && used.has(name); number++) name = `${base} (${number})`;
    next.set(base, number);
    used.add(name);
    return name;
  });
  const changed = result.filter((label, i) => label !== labels[i]);
  if (changed.length > 0) notes.push(`samples without a name of their own were named: ${shortList(changed)}`);
  return result;
}

function shortList(names: string[]): string {
  return names.length > 5 ? `${names.slice(0, 5).join(", ")} and ${names.length - 5} more` : names.join(", ");
}
