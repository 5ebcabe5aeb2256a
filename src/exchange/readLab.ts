import type { ReadingAnswers } from "../tables/doubt.ts";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import { wavelengthOf } from "../tables/spectrumFileForms.ts";
import { numberOf, readCells } from "../tables/spectrumFileText.ts";
import {
  type ColourFile,
  type ColourSample,
  colourLimits,
  distinctLabels,
  type LabSample,
} from "./colourSample.ts";
import { illuminantIn, observerIn, specularIn } from "./conditionWords.ts";
import { checkLab, toXYZ100 } from "./readingScale.ts";

// "L*", "L", "CIE L*", "LAB_L", "L* (D65/10)" and so on; conditions may stand behind the letter.
const headings: Record<string, RegExp> = {
  L: /^(?:cie[\s_]*)?(?:lab[\s_]*)?l\*?(?=$|[\s([/_])/i,
  a: /^(?:cie[\s_]*)?(?:lab[\s_]*)?a\*?(?=$|[\s([/_])/i,
  b: /^(?:cie[\s_]*)?(?:lab[\s_]*)?b\*?(?=$|[\s([/_])/i,
  X: /^(?:cie[\s_]*)?(?:xyz[\s_]*)?x(?=$|[\s([/_])/i,
  Y: /^(?:cie[\s_]*)?(?:xyz[\s_]*)?y(?=$|[\s([/_])/i,
  Z: /^(?:cie[\s_]*)?(?:xyz[\s_]*)?z(?=$|[\s([/_])/i,
};

/** Whether a first line of CSV names columns for L*, a*, b* or X, Y, Z and no wavelengths. */
export function hasColourHeadings(cells: readonly string[]): boolean {
  if (cells.some((cell) => wavelengthOf(cell) !== undefined)) return false;
  return columnsOf(cells, ["L", "a", "b"]) !== undefined || columnsOf(cells, ["X", "Y", "Z"]) !== undefined;
}

function columnsOf(cells: readonly string[], names: readonly string[]): number[] | undefined {
  const columns = names.map((name) => cells.findIndex((cell) => headings[name].test(cell.trim())));
  return columns.every((column) => column >= 0) && new Set(columns).size === 3 ? columns : undefined;
}

/**
 * Reads a CSV table with columns L*, a*, b* (or X, Y, Z), one row for each colour, named by the first column that holds
 * none of them. Light, observer and specular mode are taken from the headings and comment lines if they say them.
 *
 * @throws SpectrumFileError that names file, row and field
 */
export function readColourCsv(text: string, file: string, answers: ReadingAnswers = {}): ColourFile {
  const assumptions: string[] = [];
  const [header, ...body] = readCells(text, file, assumptions);
  const Lab = columnsOf(header.cells, ["L", "a", "b"]);
  const columns = Lab ?? columnsOf(header.cells, ["X", "Y", "Z"]);
  if (columns === undefined || body.length === 0) {
    throw new SpectrumFileError(file, "there are no columns L*, a*, b* with values below", "Add them");
  }
  if (body.length > colourLimits.samples) {
    throw new SpectrumFileError(
      file,
      `there are more than ${colourLimits.samples} samples`,
      "Split the file",
    );
  }
  const nameColumn = header.cells.findIndex((_, i) => !columns.includes(i));
  const triples = body.map(({ row, cells }) => ({
    row,
    field: header.cells[columns[0]],
    XYZ: columns.map((column) => {
      const value = numberOf(cells[column]);
      if (value !== undefined) return value;
      const shown = cells[column] === "" ? "an empty field" : `"${cells[column].slice(0, 40)}"`;
      const wayOut = "Give plain numbers such as 43.2";
      throw new SpectrumFileError(file, `${shown} is not a number`, wayOut, row, header.cells[column]);
    }),
  }));
  const comments = text.split(/\r\n?|\n/).filter((line) => line.trimStart().startsWith("#"));
  const said = [...columns.map((column) => header.cells[column]), ...comments.slice(0, 20)]
    .join(" ; ")
    .slice(0, 2000);
  const conditions = {
    observer: observerIn(said),
    illuminant: illuminantIn(said),
    specular: specularIn(said)?.mode,
  };
  saySo(conditions, assumptions);
  const labels = distinctLabels(body.map(({ cells }) => (nameColumn < 0 ? "" : cells[nameColumn])));
  const XYZ = Lab ? undefined : toXYZ100(triples, "free", file, assumptions, answers);
  const samples = triples.map(({ XYZ: values, row, field }, i): ColourSample => {
    const label = labels[i];
    if (XYZ) return { kind: "XYZ", label, XYZ: XYZ[i], ...conditions };
    return { kind: "Lab", label, Lab: checkLab(values, file, row, field), ...conditions };
  });
  return { form: "CSV", samples, assumptions };
}

const number = String.raw`[-+−]?(?:\d+(?:[.,]\d+)?|[.,]\d+)`;

/**
 * Reads typed or pasted CIELAB, one colour on each line: "43.2 51.0 28.5", "L* 43,2; a* 51,0; b* 28,5", "poppy:
 * 43.2, 51.0, 28.5 (D65/10°, specular included)". What cannot be read without doubt is refused.
 *
 * @param where name for messages, such as "pasted text"
 * @throws SpectrumFileError that names the line
 */
export function readLabText(text: string, where: string): { samples: LabSample[]; assumptions: string[] } {
  if (text.length > 100_000) {
    throw new SpectrumFileError(where, "the text is too long", "Paste at most 100,000 signs, or use a file");
  }
  const assumptions: string[] = [];
  const lines = text.split(/\r\n?|\n/).map((line, index) => ({ line: line.trim(), row: index + 1 }));
  const found = lines.filter(({ line }) => line !== "").map(({ line, row }) => LabOfLine(line, where, row));
  if (found.length === 0)
    throw new SpectrumFileError(where, "there is nothing to read", "Type L*, a* and b*");
  const labels = distinctLabels(found.map(({ label }) => label));
  const samples = found.map((sample, i) => ({ ...sample, label: labels[i] }));
  if (text.includes(",") && samples.length > 0)
    assumptions.push(`read: ${samples.slice(0, 5).map(shown).join("; ")}`);
  for (const [what, missing] of [
    ["which observer", samples.some((sample) => sample.observer === undefined)],
    ["which light", samples.some((sample) => sample.illuminant === undefined)],
  ] as const) {
    if (missing) assumptions.push(`the text does not say for ${what} the colours are stated`);
  }
  if (samples.some((sample) => sample.specular === undefined)) {
    assumptions.push("the text does not say whether the mirror reflection is included");
  }
  return { samples, assumptions };
}

function shown({ Lab: [L, a, b] }: LabSample): string {
  return `L* ${L}, a* ${a}, b* ${b}`;
}

function LabOfLine(line: string, where: string, row: number): LabSample {
  const refuse = (problem: string): never => {
    throw new SpectrumFileError(where, problem, 'Write three numbers, such as "43.2 51.0 28.5"', row);
  };
  const conditions = {
    observer: observerIn(line),
    illuminant: illuminantIn(line),
    specular: specularIn(line)?.mode,
  };
  // Blanks in a row say no more than one, and the patterns below would try every way of sharing them out.
  let rest = line.replace(/\s+/g, " ");
  let label = "";
  const colon = /^([^:;=]{1,80}):(?=[\s\d+−-])/.exec(rest);
  // "L: 43.2" is no name.
  if (colon && !/^\s*(?:cie\s*)?l\*?\s*$/i.test(colon[1])) {
    label = colon[1].trim();
    rest = rest.slice(colon[0].length);
  }
  rest = rest
    .replace(/\([^()]*\)|\[[^[\]]*\]/g, " ")
    .replace(
      /\b(?:ill\w*\s*)?(?:D\d\d|FL?\d{1,2}(?:\.\d+)?|ID\d\d|LED-\w+|HP\d|[AC](?=\s*\/\s*\d))\b\s*(?:\/\s*(?:2|10)\b)?/gi,
      " ",
    )
    .replace(/\b(?:2|10)\s*(?:°|º|deg(?:rees?)?\b)/gi, " ")
    .replace(/\b(?:SCI|SCE|SPIN|SPEX)\b|\bspecular[\s_-]*(?:in|ex)cluded\b/gi, " ");
  const keyed = new RegExp(
    `^[\\s.,;]*(?:cie\\s*)?l\\*?\\s*[:=]?\\s*(${number})[\\s,;]+a\\*?\\s*[:=]?\\s*(${number})[\\s,;]+b\\*?\\s*[:=]?\\s*(${number})[\\s.,;]*$`,
    "i",
  ).exec(rest);
  let words = keyed ? keyed.slice(1, 4) : rest.split(/[; ]+/).filter((word) => word !== "");
  // Commas between the numbers: "43.2, 51.0, 28.5" or "43,51,28"; with two commas more they would be decimal commas.
  if (!keyed && (words.length !== 3 || words.some((word) => word.endsWith(",")))) {
    words = rest.split(",").map((word) => word.trim());
  }
  if (words.length !== 3) refuse("there are not exactly three numbers L*, a*, b*");
  if (words.some((word) => word.includes(",")) && words.some((word) => word.includes("."))) {
    refuse("decimal commas and decimal points are mixed");
  }
  const values = words.map((word) => numberOf(word.replace("−", "-").replace(",", ".")));
  if (values.some((value) => value === undefined)) refuse("there are not exactly three numbers L*, a*, b*");
  return { kind: "Lab", label, Lab: checkLab(values as number[], where, row, "L* a* b*"), ...conditions };
}

function saySo(
  { observer, illuminant, specular }: { observer?: string; illuminant?: string; specular?: string },
  assumptions: string[],
): void {
  if (observer === undefined)
    assumptions.push("the file does not say for which observer the colours are stated");
  if (illuminant === undefined)
    assumptions.push("the file does not say for which light the colours are stated");
  if (specular === undefined)
    assumptions.push("the file does not say whether the mirror reflection is included");
}
