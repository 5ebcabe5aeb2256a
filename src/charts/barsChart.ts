import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { curveEdge, ink, inkSoft, rowHeight } from "./chrome.ts";
import { axisMarks, frameOf, labelMark, leastPlotHeight, plotOptions, px, rows, toPixel } from "./frame.ts";
import { fitText, textWidth } from "./labels.ts";
import { patternDefinitions, patternFill } from "./patterns.ts";
import { percentTicks } from "./ticks.ts";

export interface Bar {
  label: string;
  /** 0…1; a little below 0 counts as 0 */
  share: number;
  /** half the width of the whisker that shows how exact it is */
  doubt?: number;
  /** what the bar comes to together with others, drawn hatched behind it */
  total?: number;
}

export interface BarsData {
  bars: readonly Bar[];
  xLabel: string;
}

const barHeight = 22;
const rowPitch = rowHeight + barHeight + 12;

/** Height that so many bars ask for, px. */
export function barsHeight(count: number): number {
  return 8 + Math.max(leastPlotHeight, count * rowPitch) + 50;
}

/**
 * Shares as bars, each with its name and its number above it: first-order shares full, what they come to together with
 * others hatched, and a whisker for how exact they are.
 *
 * @throws RangeError without bars
 */
export function barsChart(Plot: PlotLibrary, { bars, xLabel }: BarsData, size: ChartSize): PlotOptions {
  if (bars.length === 0) throw new RangeError("bars: none given, at least 1 needed");
  const frame = frameOf(
    { width: size.width, height: barsHeight(bars.length) },
    { top: 8, right: 24, bottom: 50, left: 12 },
    { domain: [0, 1] },
    { domain: [bars.length, 0] },
  );
  const x = (share: number) => toPixel(frame.x, Math.min(1, Math.max(0, share)));
  const top = (row: number) => frame.top + row * rowPitch + rowHeight + 3;
  const zero = x(0);
  const texts = bars.map(({ share, doubt = 0 }) => {
    const percent = (value: number) => (100 * value).toFixed(1);
    return `${percent(Math.max(0, share))}${doubt >= 0.0005 ? ` ± ${percent(doubt)}` : ""} %`;
  });
  const blocks = (of: (bar: Bar) => number, inset: number, fill: string): Mark =>
    Plot.rect(rows(bars.length), {
      x1: px(bars.map(() => zero)),
      // A bar of nothing still shows as a line.
      x2: px(bars.map((bar) => Math.max(zero + 2, x(of(bar))))),
      y1: px(bars.map((_, row) => top(row) + inset)),
      y2: px(bars.map((_, row) => top(row) + barHeight - inset)),
      fill,
      stroke: curveEdge,
    });
  const whiskers = bars.flatMap(({ share, doubt = 0 }, row) =>
    doubt > 0 ? [{ from: x(share - doubt), to: x(share + doubt), y: top(row) + barHeight / 2 }] : [],
  );
  const whiskerMarks: Mark[] =
    whiskers.length > 0
      ? [
          Plot.ruleY(rows(whiskers.length), {
            x1: px(whiskers.map(({ from }) => from)),
            x2: px(whiskers.map(({ to }) => to)),
            y: px(whiskers.map(({ y }) => y)),
            stroke: ink,
            strokeWidth: 2,
          }),
        ]
      : [];
  return plotOptions(frame, [
    patternDefinitions(["rising"]),
    ...axisMarks(Plot, frame, {
      xTicks: percentTicks(1, frame.right - frame.left),
      yTicks: [],
      xLabel,
      yLabel: "",
    }),
    ...(bars.some(({ total }) => total !== undefined)
      ? [blocks(({ total, share }) => total ?? share, 0, patternFill("rising"))]
      : []),
    blocks(({ share }) => share, 4, inkSoft),
    ...whiskerMarks,
    labelMark(
      Plot,
      bars.map(({ label }, row) => ({
        x: frame.left,
        y: top(row) - rowHeight / 2,
        text: fitText(label, frame.right - frame.left - textWidth(texts[row], true) - 16),
      })),
    ),
    labelMark(
      Plot,
      texts.map((text, row) => ({
        x: frame.right - textWidth(text, true),
        y: top(row) - rowHeight / 2,
        text,
      })),
      "bold",
    ),
  ]);
}
