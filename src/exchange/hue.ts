import { DoubtfulFileError, type ReadingAnswers } from "../tables/doubt.ts";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";

/** Chroma below which the hue angle says nothing. */
const leastChroma = 2;
/** Repeated readings of one part spread less in degrees, colours of several parts more in radians (common practice). */
const repeatsSpread = 1.5;

/**
 * The unit of the hue angles of a file. Degrees are the rule; but several colours that differ in hue, and all lie
 * between 0 and 2π, are hardly ever meant so.
 *
 * @param colours chroma and hue angle of each, as they stand there
 * @throws DoubtfulFileError "hue" when that is so and nobody has said which
 */
export function hueUnit(
  colours: readonly { readonly C: number; readonly h: number }[],
  file: string,
  answers: ReadingAnswers,
): "degrees" | "radians" {
  if (answers.hue !== undefined) return answers.hue;
  const hues = colours.flatMap(({ C, h }) => (C > leastChroma ? [h] : []));
  if (hues.length < 2) return "degrees";
  const [least, most] = [Math.min(...hues), Math.max(...hues)];
  if (Math.max(most, -least) > 2 * Math.PI || most - least < repeatsSpread) return "degrees";
  throw new DoubtfulFileError(
    "hue",
    file,
    `all hue angles lie between ${least} and ${most}, as angles in radians do`,
  );
}

/**
 * L*, a*, b* of L*, C* and hue angle: a* = C* cos h, b* = C* sin h.
 * Source: CIE 15, definitions of chroma and hue angle in CIELAB.
 *
 * @throws SpectrumFileError for a chroma below 0 or a hue beyond one turn
 */
export function LabOfLCh(
  [L, C, h]: readonly number[],
  unit: "degrees" | "radians",
  file: string,
  field?: string,
): [number, number, number] {
  const turn = unit === "degrees" ? 360 : 2 * Math.PI;
  if (!(C >= 0 && Math.abs(h) <= turn)) {
    throw new SpectrumFileError(
      file,
      `C* ${C} and hue ${h} are no colour (C* at least 0, hue ${unit === "degrees" ? "−360° to 360°" : "−2π to 2π"})`,
      "Check the numbers",
      undefined,
      field,
    );
  }
  const angle = (h / turn) * 2 * Math.PI;
  return [L, C * Math.cos(angle), C * Math.sin(angle)];
}
