import type { ChartOptions, ChartSize, PlotLibrary } from "./chartTypes.ts";
import { ink } from "./chrome.ts";
import { sameLength } from "./frame.ts";
import { spectralRows } from "./spectralRows.ts";

interface SettledData {
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
): ChartOptions {
  for (const { label, holds } of statements)
    sameLength(`“${label}”`, holds, wavelengths.length, "wavelengths");
  const bars = statements.flatMap(({ holds }, row) =>
    runsOf(holds).map(({ from, to }) => ({ row, from, to, fill: ink })),
  );
  const labels = statements.map(({ label }) => label);
  return spectralRows(Plot, { wavelengths, labels, bars, gap: 0.48 }, size);
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
