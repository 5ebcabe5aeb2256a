import type { ChartOptions, ChartSize, KeyEntry, Mark, PatternName, PlotLibrary } from "./chartTypes.ts";
import { curveEdge, ink, paper, rowHeight, textSize } from "./chrome.ts";
import { type Axis, chartOptions, frameOf, leastPlotHeight, raw } from "./frame.ts";
import { patternDefinitions, patternFill } from "./patterns.ts";

/** A row with its name and its number above the bars. */
interface BarRow {
  readonly label: string;
  readonly text?: string;
}

/** A piece of a bar, along the axis. */
export interface BarPiece {
  readonly row: number;
  readonly from: number;
  readonly to: number;
  /** CSS colour */
  readonly fill: string;
  readonly pattern?: PatternName;
  /** how much lower than the others, px at either edge */
  readonly thinner?: number;
}

interface RowBars {
  readonly rows: readonly BarRow[];
  readonly pieces: readonly BarPiece[];
  readonly x: Axis;
  readonly key?: readonly KeyEntry[];
  /** length of a bar of nothing, so that it still shows as a line, px */
  readonly least?: number;
  /** what lies under and over the bars; y counts rows, `barMiddle` is the middle of the first bar */
  readonly under?: readonly Mark[];
  readonly over?: readonly Mark[];
}

const barHeight = 24;
const pitch = rowHeight + barHeight + 12;
const barTop = (rowHeight + 3) / pitch;
export const barMiddle = barTop + barHeight / 2 / pitch;
/** Upper edge of the last free strip of a row, where a bar ends. */
export const barEnd = barTop + barHeight / pitch;
const margins = { top: 8, right: 20, left: 24 };

/** Height that so many rows ask for, px. @param bottom room for the axis */
export function rowsHeight(rows: number, bottom = 50): number {
  return margins.top + Math.max(leastPlotHeight, rows * pitch) + bottom;
}

/** Bars in rows, each with its name at the left and its number at the right above it. */
export function rowBars(
  Plot: PlotLibrary,
  { rows, pieces, x, key, least = 0, under = [], over = [] }: RowBars,
  size: ChartSize,
): ChartOptions {
  const bottom = x.axis === null ? 8 : 50;
  const height = rowsHeight(rows.length, bottom);
  const frame = frameOf({ width: size.width, height }, { ...margins, bottom });
  const shortest = (least * (x.domain[1] - x.domain[0])) / frame.width;
  const box = {
    x1: "from",
    x2: ({ from, to }: BarPiece) => Math.max(to, from + shortest),
    y1: ({ row, thinner = 0 }: BarPiece) => row + barTop + thinner / pitch,
    y2: ({ row, thinner = 0 }: BarPiece) => row + barEnd - thinner / pitch,
    stroke: curveEdge,
  } as const;
  const patterns = pieces.map(({ pattern = "none" }) => pattern);
  const numbers = Math.max(0, ...rows.map(({ text = "" }) => text.length));
  const words = {
    y: (_: BarRow, row: number) => row,
    lineAnchor: "top",
    dy: 4,
    fill: ink,
    stroke: paper,
    strokeWidth: 5,
  } as const;
  return chartOptions(Plot, frame, {
    x,
    y: { domain: [frame.height / pitch, 0], axis: null },
    key,
    marks: [
      patternDefinitions([...patterns, ...(key ?? []).flatMap(({ pattern = "none" }) => pattern)]),
      ...under,
      Plot.rect(pieces, { ...box, fill: raw(pieces.map(({ fill }) => fill)) }),
      Plot.rect(pieces, { ...box, fill: raw(patterns.map(patternFill)) }),
      ...over,
      Plot.text(rows, {
        ...words,
        text: "label",
        frameAnchor: "left",
        dx: 4,
        lineWidth: frame.width / textSize - numbers * 0.6 - 1,
        textOverflow: "ellipsis",
      }),
      Plot.text(rows, { ...words, text: "text", frameAnchor: "right", dx: 8, fontWeight: "bold" }),
    ],
  });
}
