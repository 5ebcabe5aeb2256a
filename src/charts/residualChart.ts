import type { ChartOptions, ChartSize, PlotLibrary } from "./chartTypes.ts";
import { spectralRows } from "./spectralRows.ts";

interface ResidualData {
  /** nm, increasing, evenly spaced */
  wavelengths: ArrayLike<number>;
  /** one row for each reading: fitted − measured, in reflectance */
  rows: readonly { label: string; values: ArrayLike<number> }[];
}

/** The residual that is drawn black or white: the largest, but never so small that noise would look loud. */
export function largestResidual(list: ResidualData["rows"]): number {
  return Math.max(0.005, ...list.flatMap(({ values }) => Array.from(values, Math.abs)));
}

/** Residuals of every reading at every wavelength: mid grey is none, dark is fitted too dark, light fitted too light. */
export function residualChart(
  Plot: PlotLibrary,
  { wavelengths, rows }: ResidualData,
  size: ChartSize,
): ChartOptions {
  const most = largestResidual(rows);
  const bars = rows.flatMap(({ values }, row) =>
    Array.from(values, (value, i) => {
      const grey = Math.round(128 + 127 * Math.max(-1, Math.min(1, value / most)));
      return { row, from: i, to: i, fill: `rgb(${grey},${grey},${grey})` };
    }),
  );
  const labels = rows.map(({ label }) => label);
  return spectralRows(Plot, { wavelengths, labels, bars, gap: 0.08 }, size);
}
