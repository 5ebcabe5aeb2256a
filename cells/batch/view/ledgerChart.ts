import type { ChartOptions, ChartSize, PatternName, PlotLibrary } from "../../../src/charts/chartTypes.ts";
import { rowBars } from "../../../src/charts/rowBars.ts";

interface LedgerRow {
  readonly label: string;
  /** text of the whole amount */
  readonly total: string;
  /** amounts in the order of `ledgerParts`, in the unit of the axis */
  readonly amounts: readonly number[];
}

/** Where a mix goes, from the left of each bar. */
export const ledgerParts = [
  { label: "on the parts", grey: "#4d4d4d", pattern: "none" },
  { label: "overspray", grey: "#d9d9d9", pattern: "dots" },
  { label: "test panels", grey: "#8c8c8c", pattern: "upright" },
  { label: "cup and hose", grey: "#b0b0b0", pattern: "rising" },
  { label: "reserve and rounding", grey: "#f5f5f5", pattern: "level" },
] as const satisfies readonly { label: string; grey: string; pattern: PatternName }[];

/** One bar for each layer, cut into what stays on the parts and what does not. */
export function ledgerChart(
  Plot: PlotLibrary,
  { rows, unit }: { readonly rows: readonly LedgerRow[]; readonly unit: string },
  size: ChartSize,
): ChartOptions {
  const most = Math.max(1e-9, ...rows.map(({ amounts }) => amounts.reduce((a, b) => a + b, 0)));
  const looks = ledgerParts.map(({ label, grey: fill, pattern }) => ({ label, fill, pattern }));
  const pieces = rows.flatMap(({ amounts }, row) => {
    let from = 0;
    return amounts.map((amount, part) => {
      const piece = { row, from, to: from + amount, ...looks[part] };
      from += amount;
      return piece;
    });
  });
  return rowBars(
    Plot,
    {
      x: { domain: [0, most], tickSpacing: 110, label: unit },
      rows: rows.map(({ label, total }) => ({ label, text: total })),
      pieces,
      key: looks,
    },
    size,
  );
}
