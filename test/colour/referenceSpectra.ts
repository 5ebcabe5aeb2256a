import type { SpectralGrid } from "../../src/colour/grid.ts";
import { type CsvTable, numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import testColours from "../reference/cie_test_colour_samples_5nm.csv?raw";
import babelColor from "../reference/colorchecker24_reflectance_babelcolor_average.csv?raw";
import ohta from "../reference/colorchecker24_reflectance_ohta1997.csv?raw";

const texts: Record<string, string> = {
  "cie_test_colour_samples_5nm.csv": testColours,
  "colorchecker24_reflectance_babelcolor_average.csv": babelColor,
  "colorchecker24_reflectance_ohta1997.csv": ohta,
};
const read = new Map<string, CsvTable>();

/** A published spectral file with one column for each sample. */
export function spectraFile(file: string): CsvTable {
  if (!read.has(file)) read.set(file, parseCsvTable(texts[file], file));
  return read.get(file)!;
}

/** Readings of one sample: wavelengths as printed and values. */
export function spectrum(file: string, sample: string): { wavelengths: Float64Array; values: Float64Array } {
  const table = spectraFile(file);
  return { wavelengths: numberColumn(table, "wavelength_nm"), values: numberColumn(table, sample) };
}

/** The readings that stand on a grid. */
export function onGrid(file: string, sample: string, grid: SpectralGrid): Float64Array {
  const { wavelengths, values } = spectrum(file, sample);
  return values.filter(
    (_, i) =>
      wavelengths[i] >= grid.start &&
      wavelengths[i] <= grid.end &&
      (wavelengths[i] - grid.start) % grid.step === 0,
  );
}
