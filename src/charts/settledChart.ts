import type { ChartSize, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { ink } from "./chrome.ts";
import { axisMarks, frameOf, labelMark, plotOptions, rows, toPixel } from "./frame.ts";
import { fitText, textWidth } from "./labels.ts";
import { wavelengthTicks } from "./ticks.ts";

export interface SettledData {
  /** nm, increasing, evenly spaced */
  wavelengths: ArrayLike<number>;
  /** one row for each statement, with where it holds */
  statements: readonly { label: string; holds: readonly boolean[] }[];
}

/**
 * Where along the spectrum some statements hold: a bar in the row of each.
 *
 * @throws RangeError for a statement of another length than the wavelengths
 */
export function settledChart(
  Plot: PlotLibrary,
  { wavelengths, statements }: SettledData,
  size: ChartSize,
): PlotOptions {
  const n = wavelengths.length;
  for (const { label, holds } of statements) {
    if (holds.length !== n) throw new RangeError(`“${label}”: ${holds.length} values for ${n} wavelengths`);
  }
  const step = (wavelengths[n - 1] - wavelengths[0]) / (n - 1);
  const left = Math.min(
    size.width * 0.4,
    Math.max(40, ...statements.map(({ label }) => textWidth(label, true))) + 12,
  );
  const frame = frameOf(
    size,
    { top: 8, right: 14, bottom: 50, left },
    { domain: [wavelengths[0] - step / 2, wavelengths[n - 1] + step / 2] },
    { domain: [statements.length, 0] },
  );
  const runs = statements.flatMap(({ holds }, row) =>
    runsOf(holds).map(({ from, to }) => ({
      row,
      x1: wavelengths[from] - step / 2,
      x2: wavelengths[to] + step / 2,
    })),
  );
  return plotOptions(frame, [
    ...axisMarks(Plot, frame, {
      xTicks: wavelengthTicks(wavelengths[0], wavelengths[n - 1], frame.right - frame.left),
      yTicks: statements.map((_, row) => ({ at: row + 0.5, text: "" })),
      xLabel: "Wavelength, nm",
      yLabel: "",
    }),
    Plot.rect(rows(runs.length), {
      x1: runs.map(({ x1 }) => x1),
      x2: runs.map(({ x2 }) => x2),
      y1: runs.map(({ row }) => row + 0.24),
      y2: runs.map(({ row }) => row + 0.76),
      fill: ink,
    }),
    labelMark(
      Plot,
      statements.map(({ label }, row) => ({
        x: 2,
        y: toPixel(frame.y, row + 0.5),
        text: fitText(label, left - 6),
      })),
    ),
  ]);
}

function runsOf(holds: readonly boolean[]): { from: number; to: number }[] {
  const runs: { from: number; to: number }[] = [];
  holds.forEach((one, i) => {
    const last = runs.at(-1);
    if (!one) return;
    if (last && last.to === i - 1) last.to = i;
    else runs.push({ from: i, to: i });
  });
  return runs;
}
