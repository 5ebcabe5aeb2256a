import { XYZToLab } from "../colour/Lab.ts";
import { DoubtfulFileError, type ReadingAnswers } from "../tables/doubt.ts";
import { type PlacedReading, readingsToFractions } from "../tables/readingScale.ts";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import { colourLimits } from "./colourSample.ts";

/** Values that are all below this may have Y = 1 for white. */
const smallBelow = 1.5;

/**
 * Reflectances as fractions, told in `assumptions`; nothing is clipped. The one place that decides is
 * src/tables/readingScale.ts.
 *
 * @param stated what the file says, undefined when it says nothing
 * @throws SpectrumFileError for a value that is no reflectance, DoubtfulFileError for a scale to be asked
 */
export function toFractions(
  readings: readonly (readonly PlacedReading[])[],
  stated: "fraction" | "percent" | undefined,
  file: string,
  assumptions: string[],
  answers: ReadingAnswers,
): number[][] {
  const { values, note } = readingsToFractions(readings, {
    file,
    stated: stated && { scale: stated, because: "the file says so" },
    answers,
    allowed: colourLimits.fraction,
  });
  assumptions.push(note);
  return values;
}

/**
 * More chroma than any surface has: black and white have none. Straight lines well outside the optimal colours, 20 at
 * L* 0 and 60 at L* 105 (from memory: MacAdam 1935; the bluest reach 130 near L* 25, the yellowest 120 near L* 95).
 */
function mostChroma(L: number): number {
  return Math.min(20 + 6 * L, 60 + 14 * (colourLimits.lightness.most - L));
}

/** @throws SpectrumFileError for three numbers that are no CIELAB of a surface */
export function checkLab(
  values: readonly number[],
  file: string,
  row: number | undefined,
  field: string,
): [number, number, number] {
  const [L, a, b] = values;
  const { lightness, chromaAxis } = colourLimits;
  const fits =
    L >= lightness.least &&
    L <= lightness.most &&
    Math.abs(a) <= chromaAxis &&
    Math.abs(b) <= chromaAxis &&
    Math.hypot(a, b) <= mostChroma(L);
  if (!fits) {
    throw new SpectrumFileError(
      file,
      `L* ${L}, a* ${a}, b* ${b} is no surface colour (L* ${lightness.least} to ${lightness.most}, ` +
        `a* and b* −${chromaAxis} to ${chromaAxis})`,
      "Check the numbers",
      row,
      field,
    );
  }
  return [L, a, b];
}

/**
 * Tristimulus values on the scale Y = 100.
 *
 * @param form "standard" where the form of the file fixes that scale; "free" where values that are all below 1.5 are
 * taken to have Y = 1 for white
 * @throws SpectrumFileError for values that are no surface colours
 */
export function toXYZ100(
  readings: readonly { XYZ: readonly number[]; row?: number; field: string }[],
  form: "standard" | "free",
  file: string,
  assumptions: string[],
  answers: ReadingAnswers,
): [number, number, number][] {
  const largest = readings.reduce((most, { XYZ }) => Math.max(most, ...XYZ), -Infinity);
  refuseChromaticities(readings, file);
  const small = !(largest > smallBelow);
  if (answers.white === undefined && form === "free") askWhite(readings, small, file);
  const scale = (answers.white === undefined ? small && form === "free" : answers.white === "1") ? 100 : 1;
  assumptions.push(
    scale === 1
      ? "XYZ taken on the scale Y = 100 for white"
      : `XYZ taken on the scale Y = 1 for white, because no value is above ${smallBelow}`,
  );
  if (small && scale === 1) {
    assumptions.push(
      "all XYZ are very small: black, or a file with Y = 1 for white that does not keep to its form",
    );
  }
  const { least, most } = colourLimits.XYZ;
  return readings.map(({ XYZ, row, field }) => {
    const [X, Y, Z] = XYZ.map((value) => value * scale);
    const Lab = XYZToLab([X, Y, Z], equalWhite, new Float64Array(3));
    const possible = Y <= mostY && Math.hypot(Lab[1], Lab[2]) <= 1.5 * mostChroma(Math.min(Lab[0], 100)) + 30;
    if (![X, Y, Z].every((value) => value >= least && value <= most) || !possible) {
      throw new SpectrumFileError(
        file,
        `X ${XYZ[0]}, Y ${XYZ[1]}, Z ${XYZ[2]} is no surface colour`,
        "Check the numbers and their scale",
        row,
        field,
      );
    }
    return [X, Y, Z];
  });
}

/** Y of a surface at most, with room for a white above its tile. */
const mostY = 120;
/** Between the usual lights; the bound on chroma has room for all of them. */
const equalWhite = Float64Array.of(98, 100, 95);
/** As Y on the scale 100 this is darker than any paint (L* 1.4). */
const leastY = 0.15;
/** From here on a light colour with Y = 1 for white could be a black with Y = 100. */
const lightY = 0.5;

type PlacedXYZ = { readonly XYZ: readonly number[]; readonly row?: number; readonly field: string };

function refuseChromaticities(readings: readonly PlacedXYZ[], file: string): void {
  const sumsToOne = ({ XYZ: [X, Y, Z] }: PlacedXYZ) => Math.abs(X + Y + Z - 1) < 0.002;
  if (readings.length === 0 || !readings.every(sumsToOne)) return;
  const { row, field } = readings[0];
  throw new SpectrumFileError(
    file,
    "the three numbers add up to 1 in every row: these are chromaticities x, y, z and say nothing of lightness",
    "Export X, Y, Z or L*, a*, b*",
    row,
    field,
  );
}

function askWhite(readings: readonly PlacedXYZ[], small: boolean, file: string): void {
  const surelyOne = readings.some(({ XYZ }) => XYZ[1] < leastY);
  const light = readings.find(({ XYZ }) => XYZ[1] >= lightY);
  if (small && (surelyOne || !light)) return;
  const odd = small ? light : readings.find(({ XYZ }) => Math.max(...XYZ) <= smallBelow);
  if (!odd) return;
  throw new DoubtfulFileError(
    "white",
    file,
    `X ${odd.XYZ[0]}, Y ${odd.XYZ[1]}, Z ${odd.XYZ[2]} could be a light colour with Y = 1 for white or a black with Y = 100`,
    odd.row,
    odd.field,
  );
}
