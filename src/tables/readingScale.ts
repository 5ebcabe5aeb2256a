import { DoubtfulFileError, type ReadingAnswers, type StatedScale } from "./doubt.ts";
import { SpectrumFileError } from "./spectrumFileError.ts";

/** A number and where it stands. */
export interface PlacedReading {
  readonly value: number;
  readonly row?: number;
  readonly field: string;
}

/** Reflectances as fractions, and in words how they were read. */
interface Fractions {
  readonly values: number[][];
  readonly note: string;
}

/** What a reader knows beside the numbers. */
export interface ScaleContext {
  readonly file: string;
  /** what the file says of the scale, and where; undefined when it says nothing */
  readonly stated?: {
    readonly scale: "fraction" | "percent";
    readonly because: string;
    /** said of these very numbers, as by their heading, and not somewhere in the file */
    readonly direct?: boolean;
  };
  /** what a person answered */
  readonly answers?: ReadingAnswers;
  /** fractions outside are refused */
  readonly allowed: { readonly least: number; readonly most: number };
}

/** A value above this cannot be a fraction. */
const percentAbove = 1.5;
/** A quarter of the readings below this would be less per cent than the blackest paint reflects (from memory: 0.3 %). */
const fractionBelow = 0.15;
/** One reading this much above or below both neighbours is a jump that no paint makes (common practice). */
const fewestForJumps = 16;
const jump = { least: 0.025, ofNeighbour: 0.5 } as const;

/**
 * Reflectances as fractions. Each sample is judged by its own numbers, the file by all its samples; what the numbers
 * cannot tell, or tell otherwise than the file says, is asked. One mistyped reading rescales nothing.
 *
 * @param samples readings of each sample by rising wavelength
 * @throws DoubtfulFileError where a person has to say the scale; SpectrumFileError for values that are no reflectances
 */
export function readingsToFractions(
  samples: readonly (readonly PlacedReading[])[],
  context: ScaleContext,
): Fractions {
  const { scale, note, signs } = scaleOfReadings(samples, context);
  const saidDirectly = context.stated?.direct === true && context.stated.scale === "percent";
  const values = samples.map((sample, i) => {
    const percent = scale === "each" ? signs[i] === "percent" : scale === "percent";
    const fractions = sample.map((reading) => fractionOf(reading, percent, context));
    refuseImpossible(fractions, sample, context);
    if (context.answers?.scale === undefined && !saidDirectly) askTooDark(fractions, sample, context);
    if (context.answers?.jumps !== "keep") askJumps(fractions, sample, context);
    return fractions;
  });
  return { values, note };
}

/** The scale of the readings of a file, as above, with its reason in words. @throws DoubtfulFileError */
export function scaleOfReadings(
  samples: readonly (readonly PlacedReading[])[],
  context: ScaleContext,
): { scale: StatedScale; note: string; signs: readonly Sign[] } {
  const signs = samples.map(signOf);
  return { ...scaleOf(samples, signs, context), signs };
}

/** What the numbers of one sample say of its scale; "open" where both could be meant. */
type Sign = "percent" | "fraction" | "open";

function signOf(sample: readonly PlacedReading[]): Sign {
  if (sample.length === 0) return "open";
  let large = 0;
  sample.forEach(({ value }, i) => {
    if (value > percentAbove && !standsOut(sample, i)) large++;
  });
  // Half of a short sample, or a flank of a dark one that rises above.
  if (large > Math.min(2, sample.length / 4)) return "percent";
  const sorted = Float64Array.from(sample, ({ value }) => value).sort();
  const quarter = sorted[sorted.length >> 2];
  const high = sorted[Math.ceil(0.9 * (sorted.length - 1))];
  if (quarter < fractionBelow) return "fraction";
  // A colour whose parts differ by far, none below 0.15: as per cent it would be a coloured black.
  return high <= 1 && sorted[0] > 0 && high > 4 * sorted[0] ? "fraction" : "open";
}

/** A large value that neither neighbour comes near: no spectrum has a peak one reading wide. */
function standsOut(sample: readonly PlacedReading[], i: number): boolean {
  const before = sample[i - 1]?.value ?? -Infinity;
  const after = sample[i + 1]?.value ?? -Infinity;
  return sample[i].value > 1.8 * Math.max(before, after);
}

function scaleOf(
  samples: readonly (readonly PlacedReading[])[],
  signs: readonly Sign[],
  { file, stated, answers }: ScaleContext,
): { scale: StatedScale; note: string } {
  if (answers?.scale !== undefined) {
    const { scale } = answers;
    return { scale, note: `${words[scale]}, as was answered` };
  }
  const at = (sign: Sign) => signs.indexOf(sign);
  const place = (i: number) => samples[i][0];
  const ask = (because: string, i: number): never => {
    throw new DoubtfulFileError("scale", file, because, place(i)?.row, place(i)?.field);
  };
  if (stated) {
    const against = at(stated.scale === "percent" ? "fraction" : "percent");
    if (against >= 0 && at(stated.scale) < 0 && !(stated.direct && stated.scale === "percent")) {
      const other = stated.scale === "percent" ? "fractions" : "per cent";
      ask(`${stated.because}, but the numbers look like ${other}`, against);
    }
    const divided = stated.scale === "percent" ? " and divided by 100" : "";
    return { scale: stated.scale, note: `${words[stated.scale]}${divided}, because ${stated.because}` };
  }
  const largest = samples.reduce(
    (most, sample) => sample.reduce((m, { value }) => Math.max(m, value), most),
    -Infinity,
  );
  if (at("percent") >= 0) {
    if (at("fraction") >= 0)
      ask("this sample looks like fractions, but others like per cent", at("fraction"));
    if (at("open") >= 0)
      ask("this sample could be fractions or very dark in per cent, beside others in per cent", at("open"));
    return {
      scale: "percent",
      note: `${words.percent} and divided by 100, because some are above ${percentAbove} (largest ${largest})`,
    };
  }
  if (at("fraction") < 0) {
    const bright = samples.findIndex((sample) => darkOrWhite(sample));
    if (bright >= 0) ask("the readings could be a light colour in fractions or a black in per cent", bright);
  }
  return { scale: "fraction", note: `${words.fraction} (0 to 1); the largest is ${largest}` };
}

const words = {
  fraction: "values read as fractions",
  percent: "values read as per cent",
  each: "values of each sample read as fractions or per cent",
} as const;

/** Some readings above 1, or all with two decimals at most, as instruments print per cent and not fractions. */
function darkOrWhite(sample: readonly PlacedReading[]): boolean {
  const most = sample.reduce((m, { value }) => Math.max(m, value), -Infinity);
  if (most > 1.02) return true;
  const kinds = new Set(sample.map(({ value }) => value));
  return (
    kinds.size > 4 && sample.every(({ value }) => Math.abs(value * 100 - Math.round(value * 100)) < 1e-9)
  );
}

function fractionOf(
  { value, row, field }: PlacedReading,
  percent: boolean,
  { file, allowed }: ScaleContext,
): number {
  const fraction = percent ? value / 100 : value;
  if (fraction >= allowed.least && fraction <= allowed.most) return fraction;
  const { least, most } = allowed;
  const range = percent ? `${least * 100} to ${most * 100} %` : `${least} to ${most} (fractions)`;
  throw new SpectrumFileError(
    file,
    `the reflectance ${value}${percent ? " %" : ""} is outside the allowed range ${range}`,
    percent
      ? "Check the white and black calibration, or take a column that is no reflectance out of the file"
      : "Correct the reading, check the calibration, or say --scale percent if all are per cent",
    row,
    field,
  );
}

function refuseImpossible(
  fractions: readonly number[],
  sample: readonly PlacedReading[],
  { file }: ScaleContext,
): void {
  if (fractions.length === 0) return;
  const below = fractions.every((value) => value < 0);
  if (!below && !fractions.every((value) => value > 1)) return;
  throw new SpectrumFileError(
    file,
    `all reflectances of the sample are ${below ? "below 0" : "above 1"}, which no paint has`,
    "Check the white and black calibration, or leave the sample out",
    sample[0].row,
    sample[0].field,
  );
}

/** Less than the blackest paints reflect without their gloss, at every wavelength: more often a wrong scale. */
const tooDark = 0.0125;

function askTooDark(
  fractions: readonly number[],
  sample: readonly PlacedReading[],
  { file }: ScaleContext,
): void {
  if (fractions.length < fewestForJumps || !fractions.every((value) => value < tooDark)) return;
  // A light trap or an empty reading is no paint and no wrong scale.
  if (fractions.every((value) => value < tooDark / 100)) return;
  throw new DoubtfulFileError(
    "scale",
    file,
    "the sample would be darker than almost any paint, below 1.25 % everywhere",
    sample[0].row,
    sample[0].field,
  );
}

function askJumps(
  fractions: readonly number[],
  sample: readonly PlacedReading[],
  { file }: ScaleContext,
): void {
  // Few readings lie so far apart that any of them may differ from its neighbours.
  if (fractions.length < fewestForJumps) return;
  for (let i = 1; i + 1 < fractions.length; i++) {
    const [before, here, after] = [fractions[i - 1], fractions[i], fractions[i + 1]];
    const up = here - Math.max(before, after);
    const down = Math.min(before, after) - here;
    const off = Math.max(up, down);
    const low = Math.min(before, after);
    // A flank rises or falls all the way; little turns on it may be noise.
    if (off < jump.least || off < jump.ofNeighbour * low || off < 0.3 * Math.abs(after - before)) continue;
    const { value, row, field } = sample[i];
    throw new DoubtfulFileError(
      "jumps",
      file,
      `${value} stands between ${sample[i - 1].value} and ${sample[i + 1].value}, a jump that no paint makes: correct it`,
      row,
      field,
    );
  }
}

const percentWord = "(?:%|pct(?![a-z])|per ?cent(?![a-z]))";
const percentHeading = /(?:^|[^\d\s])\s{0,3}%|(?:^|[^a-z])(?<!\d\s{0,3})(?:pct|per ?cent)(?![a-z])/i;
const percentRemark = new RegExp(
  String.raw`^\W{0,9}${percentWord}\W{0,9}$|(?:reflect\w{0,9}|readings?|values?|scale|data|(?<![a-z])R|(?<![a-z])in)[^a-z0-9%]{1,5}(?:(?:are|is|in)\s){0,2}${percentWord}`,
  "i",
);
const fractionWord = /(?:^|[^a-z])(?:fractions?(?![a-z])|0\s?(?:to|\.\.|–|-)\s?1(?![\d.]))/i;

/** What a heading says of the scale: "R %", "R pct". "tint 10 %" speaks of the paint and says nothing. */
export function scaleIn(heading: string): "fraction" | "percent" | undefined {
  const some = heading.slice(0, 200);
  return oneOf(percentHeading.test(some), fractionWord.test(some));
}

/** What remarks say of the scale of the readings: "# in %", "# reflectance in per cent"; of anything else nothing. */
export function scaleInRemarks(remarks: readonly string[]): "fraction" | "percent" | undefined {
  const some = remarks.map((remark) => remark.slice(0, 400));
  return oneOf(
    some.some((remark) => percentRemark.test(remark)),
    some.some((remark) => /reflect|reading|value/i.test(remark) && fractionWord.test(remark)),
  );
}

function oneOf(percent: boolean, fraction: boolean): "fraction" | "percent" | undefined {
  return percent === fraction ? undefined : percent ? "percent" : "fraction";
}
