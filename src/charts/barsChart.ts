import type { ChartOptions, ChartSize, PlotLibrary } from "./chartTypes.ts";
import { ink, inkSoft } from "./chrome.ts";
import { percent } from "./frame.ts";
import { type BarPiece, barMiddle, rowBars } from "./rowBars.ts";

interface Bar {
  label: string;
  /** 0…1; a little below 0 counts as 0 */
  share: number;
  /** half the width of the whisker that shows how exact it is */
  doubt?: number;
  /** what the bar comes to together with others, drawn hatched behind it */
  total?: number;
}

interface BarsData {
  bars: readonly Bar[];
  xLabel: string;
}

/**
 * Shares as bars, each with its name and its number above it: first-order shares full, what they come to together with
 * others hatched, and a whisker for how exact they are.
 *
 * @throws RangeError without bars
 */
export function barsChart(Plot: PlotLibrary, { bars, xLabel }: BarsData, size: ChartSize): ChartOptions {
  if (bars.length === 0) throw new RangeError("bars: none given, at least 1 needed");
  const within = (share: number) => Math.min(1, Math.max(0, share));
  const tenths = (value: number) => (100 * value).toFixed(1);
  const piece = (row: number, to: number, look: Omit<BarPiece, "row" | "from" | "to">): BarPiece => ({
    row,
    from: 0,
    to: within(to),
    ...look,
  });
  return rowBars(
    Plot,
    {
      least: 2,
      x: { domain: [0, 1], tickFormat: percent, label: xLabel },
      rows: bars.map(({ label, share, doubt = 0 }) => ({
        label,
        text: `${tenths(Math.max(0, share))}${doubt >= 0.0005 ? ` ± ${tenths(doubt)}` : ""} %`,
      })),
      pieces: [
        ...bars.flatMap(({ total }, row) =>
          total === undefined ? [] : [piece(row, total, { fill: "none", pattern: "rising" })],
        ),
        ...bars.map(({ share }, row) => piece(row, share, { fill: inkSoft, thinner: 4 })),
      ],
      over: [
        Plot.ruleY(bars, {
          filter: ({ doubt = 0 }: Bar) => doubt > 0,
          x1: ({ share, doubt = 0 }: Bar) => within(share - doubt),
          x2: ({ share, doubt = 0 }: Bar) => within(share + doubt),
          y: (_, row) => row + barMiddle,
          stroke: ink,
          strokeWidth: 2,
        }),
      ],
    },
    size,
  );
}
