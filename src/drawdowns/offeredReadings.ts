import { XYZToLab } from "../colour/Lab.ts";
import { resampleToGrid } from "../colour/resample.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import type { ColourFile, ColourSample } from "../exchange/colourSample.ts";
import { readLabText } from "../exchange/readLab.ts";
import type { ReadingAnswers } from "../tables/doubt.ts";
import { drawdownFileLimits } from "../tables/drawdownFile.ts";
import { readingsToFractions } from "../tables/readingScale.ts";
import { numberOf } from "../tables/spectrumFileText.ts";
import { type AnyReading, type KeptReading, keptReading } from "./keptTable.ts";

/** One reading offered by a file or a pasted text: a curve on the working grid, or a colour. */
interface OfferedReading {
  readonly label: string;
  readonly curve?: Float64Array;
  readonly Lab?: readonly [number, number, number];
  /** where the text says it */
  readonly specular?: "included" | "excluded";
}

export interface OfferedReadings {
  readonly readings: readonly OfferedReading[];
  /** what was assumed, in words */
  readonly notes: readonly string[];
}

/** Light and observer that colours are to be stated for. */
export interface ColourConditions {
  readonly illuminant: string;
  readonly observer: string;
  readonly weights: TristimulusWeights;
}

/** Bare rows of numbers that need no wavelengths beside them: instruments of 10 nm give one of these. */
const usualRanges: readonly { from: number; to: number; count: number }[] = [
  { from: 380, to: 730, count: 36 },
  { from: 400, to: 700, count: 31 },
  { from: 360, to: 740, count: 39 },
];

/** The spectra among the colours of a file. @throws RangeError when there are none, or they are no reflectances */
export function spectraOf(file: ColourFile, name: string): OfferedReadings {
  const notes = [...file.assumptions];
  const readings = file.samples.flatMap((sample): OfferedReading[] => {
    if (sample.kind !== "spectrum") return [];
    const { values, notes: told } = resampleToGrid(sample.wavelengths, sample.values);
    notes.push(...told.map((one) => `${sample.label}: ${one}`));
    return [{ label: sample.label, curve: checked(values, sample.label), specular: sample.specular }];
  });
  if (readings.length === 0) {
    throw new RangeError(
      `${name}: there are colours in it but no spectra; choose “colours only” under “Measured as” to use them`,
    );
  }
  return { readings, notes };
}

/** Colours as a person types them, one on each line; undefined for any other text. @throws Error as above */
export function typedColours(
  text: string,
  name: string,
  conditions: ColourConditions,
): OfferedReadings | undefined {
  return isShort(text) && isLabText(text) ? coloursOf(readLabText(text, name), name, conditions) : undefined;
}

/** The colours of a file. @throws RangeError for a spectrum, or a colour under another light or out of range */
export function coloursOf(
  file: Pick<ColourFile, "samples" | "assumptions">,
  name: string,
  conditions: ColourConditions,
): OfferedReadings {
  const notes = [...file.assumptions];
  const readings = file.samples.map((sample) => ({
    label: sample.label,
    Lab: inRange(LabOf(sample, conditions, name), sample.label),
    specular: sample.specular,
  }));
  return { readings, notes };
}

/** A few short lines, as a person types or pastes them. */
function isShort(text: string): boolean {
  if (text.length > 40_000) return false;
  const lines = text.split(/\r\n?|\n/).filter((line) => line.trim() !== "");
  return lines.length > 0 && lines.length <= 200 && lines.every((line) => line.length < 200);
}

/** Colours by the line begin with one; a table begins with headings or a comment, and a spectrum holds more numbers. */
function isLabText(text: string): boolean {
  const first = text.split(/\r\n?|\n/).find((line) => line.trim() !== "") ?? "";
  const bare = first
    .slice(0, 400)
    .replace(/\([^()]*\)/g, " ")
    .trim();
  if (/^(?:#|<|CGATS)/i.test(bare)) return false;
  const numbers = (bare.match(/\d+(?:[.,]\d+)?/g) ?? []).length;
  return numbers === 0 ? !/[,;\t]/.test(bare) : numbers < 8;
}

function LabOf(
  sample: ColourSample,
  { illuminant, observer, weights }: ColourConditions,
  name: string,
): readonly [number, number, number] {
  const triple = (values: ArrayLike<number>) => [values[0], values[1], values[2]] as const;
  if (sample.kind === "spectrum") {
    throw new RangeError(
      `${name}: ${sample.label} is a spectrum; choose “spectra” under “Measured as”, which says far more`,
    );
  }
  const other =
    sample.illuminant !== undefined && sample.illuminant !== illuminant
      ? sample.illuminant
      : sample.observer !== undefined && sample.observer !== observer
        ? `the ${sample.observer === "1931-2" ? "2°" : "10°"} observer`
        : undefined;
  if (other !== undefined) {
    throw new RangeError(
      `${name}: ${sample.label} is stated for ${other}; set “Colours read under” and “Observer of the colours” to that first`,
    );
  }
  if (sample.kind === "Lab") return triple(sample.Lab);
  return triple(XYZToLab(Float64Array.from(sample.XYZ), weights.white, new Float64Array(3)));
}

function inRange(Lab: readonly [number, number, number], label: string): readonly [number, number, number] {
  const { lightness, axis } = drawdownFileLimits;
  const bad = Lab.findIndex(
    (value, k) => !(k === 0 ? value >= 0 && value <= lightness : Math.abs(value) <= axis),
  );
  if (bad < 0) return [rounded(Lab[0]), rounded(Lab[1]), rounded(Lab[2])];
  const allowed = bad === 0 ? `0 to ${lightness}` : `−${axis} to ${axis}`;
  throw new RangeError(`${label}: ${"Lab"[bad]}* = ${Lab[bad]}: ${allowed} is allowed`);
}

function rounded(value: number): number {
  return Number(value.toFixed(3));
}

function checked(values: Float64Array, label: string): Float64Array {
  const { least, most } = drawdownFileLimits.reading;
  const bad = values.find((value) => !(value >= least && value <= most));
  if (bad === undefined) return values;
  throw new RangeError(`${label}: reflectance ${bad.toFixed(3)}: ${least} to ${most} is allowed`);
}

/** Rows that hold nothing but numbers, as many as instruments of 10 nm give; undefined for any other text. */
export function bareRows(text: string, answers: ReadingAnswers = {}): OfferedReadings | undefined {
  const lines = text.split(/\r\n?|\n/).filter((line) => line.trim() !== "");
  const count = numbersOf(lines[0] ?? "")?.length;
  const range = usualRanges.find((one) => one.count === count);
  if (!range) return undefined;
  const rows = lines.map(numbersOf);
  if (rows.some((row) => row?.length !== count)) return undefined;
  const whole = rows as number[][];
  // A first row that rises like wavelengths is a heading, and the text a table.
  if (whole[0].every((value, i) => value >= 200 && (i === 0 || value > whole[0][i - 1]))) return undefined;
  const placed = whole.map((row, k) =>
    row.map((value, i) => ({ value, row: k + 1, field: `number ${i + 1}` })),
  );
  const { values: fractions, note } = readingsToFractions(placed, {
    file: "pasted text",
    answers,
    allowed: drawdownFileLimits.reading,
  });
  const step = (range.to - range.from) / (range.count - 1);
  const nm = Array.from({ length: range.count }, (_, i) => range.from + i * step);
  const notes = [`${range.count} values taken as ${range.from} to ${range.to} nm by ${step} nm`, note];
  const readings = fractions.map((row, k) => {
    const label = `pasted reading ${k + 1}`;
    const { values, notes: told } = resampleToGrid(nm, row);
    notes.push(...told);
    return { label, curve: checked(values, label) };
  });
  return { readings, notes: [...new Set(notes)] };
}

function numbersOf(line: string): number[] | undefined {
  const spaced = line.trim().split(/[;\t ]+/);
  const cells = spaced.length > 1 ? spaced.map((cell) => cell.replace(/,$/, "")) : line.trim().split(",");
  const decimal = spaced.length > 1 && cells.every((cell) => !cell.includes("."));
  const values = cells
    .filter((cell) => cell !== "")
    .map((cell) => (decimal ? cell.replace(",", ".") : cell))
    .map((cell) => numberOf(cell.trim()) ?? Number.NaN);
  return values.length > 0 && values.every(Number.isFinite) ? values : undefined;
}

/**
 * Chosen readings as made over one ground: colours side by side, curves of one specular mode averaged.
 *
 * @param specular for those whose text does not say
 */
export function readingsOver(
  ground: string,
  specular: "included" | "excluded",
  chosen: readonly OfferedReading[],
): AnyReading[] {
  const modeOf = (one: OfferedReading) => one.specular ?? specular;
  const colours = chosen.flatMap((one) =>
    one.Lab ? [{ ground, specular: modeOf(one), Lab: [...one.Lab] as [number, number, number] }] : [],
  );
  const curves = [...new Set(chosen.map(modeOf))].flatMap((mode) => {
    const own = chosen.flatMap((one) => (one.curve && modeOf(one) === mode ? [one.curve] : []));
    return own.length > 0 ? [readingOf(own, ground, mode)] : [];
  });
  return [...colours, ...curves];
}

/** The mean of some curves as one reading. @throws RangeError when there is none */
export function readingOf(
  curves: readonly Float64Array[],
  ground: string,
  specular: "included" | "excluded",
): KeptReading {
  if (curves.length === 0) throw new RangeError("no reading is chosen: choose at least one");
  const n = curves[0].length;
  const reflectance = new Float64Array(n);
  const spread = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    for (const curve of curves) reflectance[i] += curve[i] / curves.length;
    for (const curve of curves) spread[i] += (curve[i] - reflectance[i]) ** 2;
    spread[i] = curves.length > 1 ? Math.sqrt(spread[i] / (curves.length - 1)) : 0;
  }
  return keptReading({ ground, specular, reflectance, spread, repeats: curves.length, singles: curves });
}
