import { wavelengths as wavelengthsOf, workingGrid } from "../colour/grid.ts";
import { resampleToGrid } from "../colour/resample.ts";
import type { ReadingAnswers } from "../tables/doubt.ts";
import { readSpectrumCsv } from "../tables/spectrumFile.ts";
import { isDecimal } from "./options.ts";
import { InputError, readText, type Surroundings } from "./surroundings.ts";

/** Values on the wavelengths of a file, nm. */
export interface Curve {
  name: string;
  wavelengths: Float64Array;
  values: Float64Array;
}

/** The measured reflectances of a file. */
export async function readCurves(
  surroundings: Surroundings,
  path: string,
  notes: string[],
  answers: ReadingAnswers,
): Promise<Curve[]> {
  const file = readSpectrumCsv(await readText(surroundings, path), path, answers);
  notes.push(...file.notes.map((note) => `${path}: ${note}`));
  return file.samples.map(({ label, wavelengths, values }) => ({
    name: label,
    wavelengths: Float64Array.from(wavelengths),
    values: Float64Array.from(values),
  }));
}

/** The one measured reflectance of a file. @throws InputError when there are more */
export async function readCurve(
  surroundings: Surroundings,
  path: string,
  notes: string[],
  answers: ReadingAnswers,
): Promise<Curve> {
  const curves = await readCurves(surroundings, path, notes, answers);
  if (curves.length > 1) {
    const names = curves.map(({ name }) => `"${name}"`).join(", ");
    throw new InputError(
      `${path}: one sample is needed, but there are ${curves.length}: ${names}. Keep one of them.`,
    );
  }
  return { ...curves[0], name: path };
}

/**
 * A ground: a number for the same reflectance at every wavelength, or a file.
 *
 * @throws InputError for a number outside 0…1
 */
export async function readGround(
  surroundings: Surroundings,
  option: string,
  text: string,
  notes: string[],
  answers: ReadingAnswers,
): Promise<number | Curve> {
  if (!isDecimal(text)) return readCurve(surroundings, text, notes, answers);
  const value = Number(text);
  if (!(value >= 0 && value <= 1)) {
    throw new InputError(
      `${option} is ${text}, but a reflectance has to be from 0 to 1 (divide per cent by 100).`,
    );
  }
  return value;
}

/**
 * Brings curves onto common wavelengths: their own when all agree, else the working grid, which is told in a note.
 *
 * @returns the wavelengths; the curves are changed in place
 * @throws InputError for a curve that does not cover the visible range
 */
export function alignCurves(curves: Curve[], notes: string[]): Float64Array {
  const first = curves[0].wavelengths;
  const agree = curves.every(
    ({ wavelengths }) => wavelengths.length === first.length && wavelengths.every((nm, i) => nm === first[i]),
  );
  if (agree) return first;
  const grid = wavelengthsOf(workingGrid);
  notes.push("the files have different wavelengths: all were brought to 380 to 730 nm by 10 nm");
  for (const curve of curves) {
    try {
      const resampled = resampleToGrid(curve.wavelengths, curve.values);
      notes.push(...resampled.notes.map((note) => `${curve.name}: ${note}`));
      curve.values = resampled.values;
      curve.wavelengths = grid;
    } catch (error) {
      throw new InputError(`${curve.name}: ${(error as Error).message}.`);
    }
  }
  return grid;
}
