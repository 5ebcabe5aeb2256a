import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import { colourLimits } from "./colourSample.ts";

/** A number and where it stands. */
export interface PlacedReading {
  readonly value: number;
  readonly row?: number;
  readonly field: string;
}

/** A value above this cannot be a fraction, so the readings are in per cent. */
const percentAbove = 1.5;

/**
 * Reflectances as fractions, scale stated by the file or taken from the largest value; nothing is clipped.
 *
 * @param stated what the file says, undefined when it says nothing
 * @throws SpectrumFileError for a value that is no reflectance
 */
export function toFractions(
  readings: readonly (readonly PlacedReading[])[],
  stated: "fraction" | "per cent" | undefined,
  file: string,
  assumptions: string[],
): number[][] {
  let largest = -Infinity;
  for (const sample of readings) for (const { value } of sample) largest = Math.max(largest, value);
  const percent = stated === undefined ? largest > percentAbove : stated === "per cent";
  if (stated !== undefined)
    assumptions.push(`reflectance in ${percent ? "per cent" : "fractions"}, as the file says`);
  else if (percent) {
    assumptions.push(
      `reflectance taken as per cent and divided by 100, because some values are above ${percentAbove} ` +
        `(largest ${largest})`,
    );
  } else assumptions.push(`reflectance taken as fractions (0 to 1); the largest is ${largest}`);
  const scale = percent ? 100 : 1;
  const { least, most } = colourLimits.fraction;
  return readings.map((sample) =>
    sample.map(({ value, row, field }) => {
      const fraction = value / scale;
      if (!(fraction >= least && fraction <= most)) {
        throw new SpectrumFileError(
          file,
          `the reflectance ${value}${percent ? " %" : ""} is outside the allowed range ${least} to ${most} (fractions)`,
          "Check the calibration and the scale, or take the sample out of the file",
          row,
          field,
        );
      }
      return fraction;
    }),
  );
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
    L >= lightness.least && L <= lightness.most && Math.abs(a) <= chromaAxis && Math.abs(b) <= chromaAxis;
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
): [number, number, number][] {
  const largest = readings.reduce((most, { XYZ }) => Math.max(most, ...XYZ), -Infinity);
  const small = !(largest > percentAbove);
  const scale = small && form === "free" ? 100 : 1;
  assumptions.push(
    scale === 1
      ? "XYZ taken on the scale Y = 100 for white"
      : `XYZ taken on the scale Y = 1 for white, because no value is above ${percentAbove}`,
  );
  if (small && scale === 1) {
    assumptions.push(
      "all XYZ are very small: black, or a file with Y = 1 for white that does not keep to its form",
    );
  }
  const { least, most } = colourLimits.XYZ;
  return readings.map(({ XYZ, row, field }) => {
    const [X, Y, Z] = XYZ.map((value) => value * scale);
    if (![X, Y, Z].every((value) => value >= least && value <= most)) {
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
