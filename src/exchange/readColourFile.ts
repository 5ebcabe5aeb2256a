import type { ReadingAnswers } from "../tables/doubt.ts";
import { refuseOtherKind } from "../tables/readingKind.ts";
import { readTidySpectra } from "../tables/spectrumFile.ts";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import { type FoundTable, tableToShow, tidyTable } from "../tables/tidyTable.ts";
import { refuseOtherColour } from "./colourBeside.ts";
import { type ColourFile, type ColourFileForm, type ColourSample, colourLimits } from "./colourSample.ts";
import { specularIn } from "./conditionWords.ts";
import { readCgats } from "./readCgats.ts";
import { readCxf } from "./readCxf.ts";
import { hasColourHeadings, readColourCsv } from "./readLab.ts";
import { specularHint } from "./specularMode.ts";

const longestLine = 200_000;
const mostBlanks = 100;
const mostLines = 20_000;
/** The form of a file, told by its text; the name decides nothing, so that a wrong ending does no harm. */
export function formOf(text: string): ColourFileForm {
  const start = text.slice(0, 4000).trimStart();
  if (start.startsWith("<")) return "CxF3";
  if (/^[ \t]*BEGIN_DATA(?:_FORMAT)?\b/im.test(text)) return "CGATS";
  if (/^(?:CGATS|IT8|CTI3|ISO28178)/i.test(start)) return "CGATS";
  return "CSV";
}

/**
 * Reads measured or stated colours from the text of a file: CSV (spectra, or columns L*, a*, b* or X, Y, Z), CGATS.17
 * text, CxF3. Every choice that was made is told in `assumptions`; what cannot be read without doubt is refused.
 *
 * @param name of the file, for messages   @param onProgress told how far the reading is, 0…1
 * @param answers to what the file leaves in doubt
 * @throws SpectrumFileError that names file, row and field, what is allowed, and a way out; DoubtfulFileError where a
 * person has to answer
 */
export function readColourFile(
  name: string,
  text: string,
  onProgress: (share: number) => void = () => {},
  answers: ReadingAnswers = {},
): ColourFile {
  const refuse = (problem: string, wayOut: string): never => {
    throw new SpectrumFileError(name, problem, wayOut);
  };
  if (text.length > colourLimits.characters) {
    refuse("the file is larger than 10 MB", "Split it, or leave out what is not needed");
  }
  if (text.startsWith("PK\u0003\u0004") || text.includes("\0")) {
    refuse("this is not a text file", notTextWayOut(text));
  }
  const clean = text.replace(/^\uFEFF/, "");
  if (clean.trim() === "") refuse("the file is empty", "Export the readings again");
  const form = formOf(clean);
  onProgress(0.1);
  const file =
    form === "CGATS"
      ? readCgats(clean, name, answers)
      : form === "CxF3"
        ? readCxf(clean, name, answers)
        : readCsv(clean, name, answers);
  for (const { kind, label } of file.samples) if (kind === "spectrum") refuseOtherKind(label, name, label);
  if (answers.beside !== "spectrum") refuseOtherColour(file.samples, name);
  onProgress(0.9);
  return { ...file, assumptions: [...file.assumptions, ...hints(file.samples)] };
}

/** A workbook is a packed file: it begins with PK. */
function notTextWayOut(text: string): string {
  return text.startsWith("PK")
    ? "If it is a workbook (.xlsx, .ods), open it and save the sheet with the readings as CSV or as text with tabs"
    : "Export the readings as CSV, CGATS or CxF3";
}

/** What is taken for what in a CSV file, to be shown; undefined for any other file, and for one that holds no table. */
export function tableIn(file: Parameters<typeof tableToShow>[0]): FoundTable | undefined {
  return tableToShow(file, { isHead: hasColourHeadings }, (text, name) => {
    refuseRunaway(text, name);
    return formOf(text) === "CSV";
  });
}

function readCsv(given: string, name: string, answers: ReadingAnswers): ColourFile {
  refuseRunaway(given, name);
  const tidy = tidyTable(given, name, { answers, isHead: hasColourHeadings });
  const { text } = tidy;
  const firstLine = text
    .split(/\r\n?|\n/)
    .find((line) => line.trim() !== "" && !line.trimStart().startsWith("#"));
  const separator = ["\t", ";", ","].find((sign) => (firstLine ?? "").replace(/"[^"]*"/g, "").includes(sign));
  const cells = (firstLine ?? "")
    .split(separator ?? ",")
    .map((cell) => cell.trim().replace(/^"(.*)"$/, "$1"));
  if (hasColourHeadings(cells)) {
    const file = readColourCsv(text, name, answers);
    return { ...file, assumptions: [...tidy.notes, ...file.assumptions] };
  }
  const { samples, notes } = readTidySpectra(text, name, answers);
  refuseEitherWay(cells, samples, name);
  const assumptions = [...tidy.notes, ...notes];
  const comments = text.split(/\r\n?|\n/).filter((line) => line.trimStart().startsWith("#"));
  const said = specularIn(comments.slice(0, 20).join(" ; ").slice(0, 2000));
  assumptions.push(
    said
      ? `mirror reflection ${said.mode}, because a comment says "${said.because}"`
      : "the file does not say whether the mirror reflection is included",
  );
  if (!/[\r\n]/.test(given.slice(given.trimEnd().length))) {
    assumptions.push("the last line does not end: if the file was cut off, its last value may be too");
  }
  return {
    form: "CSV",
    samples: samples.map((sample): ColourSample => ({ kind: "spectrum", ...sample, specular: said?.mode })),
    assumptions,
  };
}

/** Lines and blanks that no table of readings has, and that would keep a reader busy for long. */
function refuseRunaway(text: string, name: string): void {
  const refuse = (problem: string): never => {
    throw new SpectrumFileError(name, problem, "Check whether this is a table of readings");
  };
  let lines = 0;
  let line = 0;
  let blanks = 0;
  for (let i = 0; i < text.length; i++) {
    const sign = text[i];
    const ends = sign === "\n" || sign === "\r";
    line = ends ? 0 : line + 1;
    if (ends && ++lines > mostLines) refuse(`there are more than ${mostLines} lines`);
    // Empty lines are counted as lines, and tabs stand between the cells of an empty row.
    blanks = !ends && sign !== "\t" && isBlank(text.charCodeAt(i)) ? blanks + 1 : 0;
    if (line > longestLine) refuse(`a line is longer than ${longestLine} signs`);
    if (blanks > mostBlanks) refuse(`there are more than ${mostBlanks} blanks in a row`);
  }
  const filled = (row: string): boolean => !row.startsWith("#") && /[^,;]/.test(row);
  if (!text.split(/\r\n?|\n/).some((row) => filled(row.replace(/["\s]/g, ""))))
    refuse("there is nothing in it but separators");
}

function isBlank(code: number): boolean {
  return code === 0x20 || (code >= 9 && code <= 12) || (code >= 0xa0 && /\s/.test(String.fromCharCode(code)));
}

/** Samples with rising numbers for names may be wavelengths, and the wavelengths names: only the corner can tell. */
function refuseEitherWay(
  [corner, next]: readonly string[],
  samples: readonly { label: string; wavelengths: readonly number[] }[],
  name: string,
): void {
  const { least, most } = colourLimits.nm;
  const names = samples.map(({ label }) => Number(label));
  const likeWavelengths =
    names.length >= colourLimits.wavelengths.least &&
    names.every((value, i) => value >= least && value <= most && (i === 0 || value > names[i - 1]));
  if (!likeWavelengths) return;
  const across = Number(next.replace(/nm$/i, "").replace(",", ".")) === samples[0].wavelengths[0];
  const said = /wave|nm|lambda|λ/i.test(corner)
    ? "down"
    : /name|sample|label|id/i.test(corner)
      ? "across"
      : "";
  if (said === (across ? "across" : "down")) return;
  throw new SpectrumFileError(
    name,
    "first row and first column could both be wavelengths",
    'Write "wavelength_nm" over the wavelengths and put a letter before the numbers of the samples',
  );
}

function hints(samples: readonly ColourSample[]): string[] {
  return samples.flatMap((sample) => {
    if (sample.kind !== "spectrum" || sample.specular === "excluded") return [];
    const hint = specularHint(sample.wavelengths, sample.values);
    return hint === undefined ? [] : [`${sample.label}: ${hint}`];
  });
}
