import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "../../../src/charts/chartTypes.ts";
import { curveEdge, inkSoft, rowHeight } from "../../../src/charts/chrome.ts";
import {
  frameOf,
  labelMark,
  leastPlotHeight,
  plotOptions,
  px,
  rows,
  toPixel,
} from "../../../src/charts/frame.ts";
import { fitText, keyRows, keyTextX, sampleLength, textWidth } from "../../../src/charts/labels.ts";
import { type PatternName, patternDefinitions, patternFill } from "../../../src/charts/patterns.ts";
import { roundTicks } from "../../../src/charts/ticks.ts";

export interface LedgerRow {
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

const barHeight = 20;
const rowPitch = rowHeight + barHeight + 12;

/** Height that so many bars ask for, px. */
export function ledgerHeight(count: number, width: number): number {
  return keyHeight(width) + Math.max(leastPlotHeight, count * rowPitch) + 50;
}

const keyHeight = (width: number) =>
  keyRows(
    ledgerParts.map((part) => part.label),
    4,
    width - 4,
    2,
  ).rows *
    rowHeight +
  10;

/** One bar for each layer, cut into what stays on the parts and what does not. */
export function ledgerChart(
  Plot: PlotLibrary,
  data: { readonly rows: readonly LedgerRow[]; readonly unit: string },
  size: ChartSize,
): PlotOptions {
  const top = keyHeight(size.width);
  const height = ledgerHeight(data.rows.length, size.width);
  const most = Math.max(1e-9, ...data.rows.map(({ amounts }) => amounts.reduce((a, b) => a + b, 0)));
  const frame = frameOf(
    { width: size.width, height },
    { top, right: 20, bottom: 50, left: 16 },
    { domain: [0, most] },
    { domain: [0, 1] },
  );
  const key = keyRows(
    ledgerParts.map((part) => part.label),
    4,
    size.width - 4,
    2,
  );
  const pieces = data.rows.flatMap(({ amounts }, row) => {
    let left = 0;
    return amounts.map((amount, part) => {
      const piece = { row, part, from: left, to: left + amount };
      left += amount;
      return piece;
    });
  });
  const barTop = (row: number) => frame.top + row * rowPitch + rowHeight;
  const box = {
    x1: px(pieces.map(({ from }) => toPixel(frame.x, from))),
    x2: px(pieces.map(({ to }) => toPixel(frame.x, to))),
    y1: px(pieces.map(({ row }) => barTop(row))),
    y2: px(pieces.map(({ row }) => barTop(row) + barHeight)),
  };
  const block = {
    x1: px(key.places.map((place) => place.x)),
    x2: px(key.places.map((place) => place.x + sampleLength)),
    y1: px(key.places.map((place) => place.y - 8)),
    y2: px(key.places.map((place) => place.y + 8)),
  };
  const hatch = (part: number) => {
    const { pattern } = ledgerParts[part];
    return pattern === "none" ? "none" : patternFill(pattern);
  };
  const ticks = roundTicks(0, most, Math.max(2, Math.floor(size.width / 110)));
  const marks: Mark[] = [
    patternDefinitions(ledgerParts.map((part) => part.pattern)),
    Plot.ruleX(rows(ticks.length), {
      x: ticks.map((tick) => tick.at),
      y1: px(ticks.map(() => frame.bottom)),
      y2: px(ticks.map(() => frame.bottom + 6)),
      stroke: inkSoft,
    }),
    Plot.text(rows(ticks.length + 1), {
      x: px([...ticks.map((tick) => toPixel(frame.x, tick.at)), (frame.left + frame.right) / 2]),
      y: px([...ticks.map(() => frame.bottom + 18), frame.bottom + 39]),
      text: [...ticks.map((tick) => tick.text), data.unit],
      fill: inkSoft,
    }),
    ...boxes(
      Plot,
      box,
      pieces.map(({ part }) => ledgerParts[part].grey),
      pieces.map(({ part }) => hatch(part)),
    ),
    ...boxes(
      Plot,
      block,
      ledgerParts.map((part) => part.grey),
      ledgerParts.map((_, part) => hatch(part)),
    ),
    labelMark(
      Plot,
      key.places.map((place) => ({ x: keyTextX(place), y: place.y, text: place.text })),
    ),
    labelMark(
      Plot,
      data.rows.flatMap(({ label, total }, row) => {
        const y = barTop(row) - rowHeight / 2 - 1;
        const amount = frame.right - textWidth(total);
        return [
          { x: frame.left, y, text: fitText(label, amount - frame.left - 10) },
          { x: amount, y, text: total },
        ];
      }),
    ),
  ];
  return plotOptions(frame, marks);
}

/** Boxes filled with a grey, and again with a hatching. */
function boxes(
  Plot: PlotLibrary,
  box: Record<"x1" | "x2" | "y1" | "y2", ReturnType<typeof px>>,
  greys: string[],
  hatches: string[],
): Mark[] {
  const edge = { ...box, stroke: curveEdge, strokeWidth: 1 };
  return [
    Plot.rect(rows(greys.length), { ...edge, fill: { value: greys, scale: null } }),
    Plot.rect(rows(greys.length), { ...edge, fill: { value: hatches, scale: null } }),
  ];
}
