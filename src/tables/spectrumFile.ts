import type { ReadingAnswers } from "./doubt.ts";
import {
  commentsOf,
  refuseOnlyT,
  refuseOtherKind,
  refuseOtherUnit,
  withoutOtherColumns,
} from "./readingKind.ts";
import { readingsToFractions, type ScaleContext, scaleIn, scaleInRemarks } from "./readingScale.ts";
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

/**
 * Reads measured reflectances from CSV text: comma, semicolon or tab between the fields, decimal point or comma,
 * wavelengths (nm) down the first column with a column for each sample, or along the first row with a row for each
 * sample; fractions or per cent; lines that start with `#` are comments.
 *
 * Nothing is assumed in silence: `notes` tells each choice that was made. Nothing is clipped, sorted or filled in.
 *
 * @param text the text of the file   @param fileName name of the file, for messages
 * @param answers to what the file leaves in doubt
 * @returns fractions from −0.01 to 1.2 on strictly rising wavelengths, at least 8 of them
 * @throws SpectrumFileError that names file, row and field, what is allowed, and a way out
 */
export function readSpectrumCsv(text: string, fileName: string, answers: ReadingAnswers = {}): SpectrumFile {
  if (text.length > spectrumFileLimits.characters) {
    throw new SpectrumFileError(
      fileName,
      "the file is larger than 10 MB",
      "Split it, or leave out what is not needed",
    );
  }
  const notes: string[] = [];
  const rows = readCells(text, fileName, notes);
  const comments = commentsOf(text);
  for (const comment of comments) refuseOtherKind(comment, fileName, "a comment");
  refuseOtherUnit(rows[0].cells, fileName);
  const all =
    directionOf(rows, fileName) === "across"
      ? rowForm(rows, fileName, notes)
      : columnForm(rows, fileName, notes);
  const found = withoutOtherColumns(all, notes);
  for (const label of [found.heading, ...found.labels]) refuseOtherKind(label, fileName, label);
  refuseOnlyT(found.labels, fileName);
  checkWavelengths(found, fileName);
  const values = toFractions(found, fileName, comments, answers, notes);
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

function toFractions(
  found: SpectrumCells,
  fileName: string,
  said: readonly string[],
  answers: ReadingAnswers,
  notes: string[],
): number[][] {
  const { values, note } = readingsToFractions(found.readings, {
    file: fileName,
    stated: statedBy(found, said),
    answers,
    allowed: spectrumFileLimits.fraction,
  });
  notes.push(note);
  let belowZero = 0;
  for (const sample of values) for (const value of sample) if (value < 0) belowZero++;
  if (belowZero > 0) notes.push(`values slightly below 0 were kept as they are: ${belowZero}`);
  return values;
}

/** What corner, names of the samples and comments say of the scale, the nearest first. */
function statedBy({ heading, labels }: SpectrumCells, comments: readonly string[]): ScaleContext["stated"] {
  const ofLabels = new Set(labels.map(scaleIn));
  const places = [
    { what: "the heading", text: heading, scale: scaleIn(heading), direct: true },
    {
      what: "the heading",
      text: labels[0],
      scale: ofLabels.size === 1 ? [...ofLabels][0] : undefined,
      direct: true,
    },
    { what: "a comment", text: "", scale: scaleInRemarks(comments), direct: false },
  ];
  for (const { what, text, scale, direct } of places) {
    if (scale === undefined) continue;
    const word = text.includes("%") ? 'has "%"' : `says ${scale === "percent" ? "per cent" : "fractions"}`;
    return { scale, because: `${what} ${word}`, direct };
  }
  return undefined;
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
