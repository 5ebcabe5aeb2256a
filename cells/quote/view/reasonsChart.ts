import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "../../../src/charts/chartTypes.ts";
import { curveEdge, ink, rowHeight } from "../../../src/charts/chrome.ts";
import {
  frameOf,
  labelMark,
  leastPlotHeight,
  plotOptions,
  px,
  rows,
  toPixel,
} from "../../../src/charts/frame.ts";
import { fitText, textWidth } from "../../../src/charts/labels.ts";
import { patternDefinitions, patternFill } from "../../../src/charts/patterns.ts";

export interface ReasonStep {
  readonly label: string;
  /** money added (or taken away) */
  readonly amount: number;
  readonly text: string;
}

export interface ReasonsData {
  readonly start: { readonly label: string; readonly amount: number; readonly text: string };
  readonly steps: readonly ReasonStep[];
  readonly end: { readonly label: string; readonly amount: number; readonly text: string };
}

const barHeight = 20;
const rowPitch = rowHeight + barHeight + 12;

/** Height that so many steps ask for, px. */
export function reasonsHeight(steps: number): number {
  return Math.max(leastPlotHeight, (steps + 2) * rowPitch) + 12;
}

/** From the price of one colour to that of another: each reason begins where the one before ends. */
export function reasonsChart(Plot: PlotLibrary, data: ReasonsData, size: ChartSize): PlotOptions {
  const bars: { label: string; text: string; from: number; to: number; whole: boolean }[] = [];
  let at = data.start.amount;
  bars.push({ ...data.start, from: 0, to: at, whole: true });
  for (const step of data.steps) {
    bars.push({ ...step, from: at, to: at + step.amount, whole: false });
    at += step.amount;
  }
  bars.push({ ...data.end, from: 0, to: data.end.amount, whole: true });
  const most = Math.max(1e-9, ...bars.flatMap(({ from, to }) => [from, to]));
  const frame = frameOf(
    { width: size.width, height: reasonsHeight(data.steps.length) },
    { top: 4, right: 8, bottom: 8, left: 4 },
    { domain: [0, most] },
    { domain: [0, 1] },
  );
  const barTop = (row: number) => frame.top + row * rowPitch + rowHeight;
  const x = (value: number) => toPixel(frame.x, value);
  const box = {
    x1: px(bars.map(({ from, to }) => x(Math.min(from, to)))),
    x2: px(bars.map(({ from, to }) => Math.max(x(Math.max(from, to)), x(Math.min(from, to)) + 2))),
    y1: px(bars.map((_, row) => barTop(row))),
    y2: px(bars.map((_, row) => barTop(row) + barHeight)),
    stroke: curveEdge,
    strokeWidth: 1,
  };
  const marks: Mark[] = [
    patternDefinitions(["rising"]),
    Plot.ruleX(rows(bars.length - 1), {
      x: bars.slice(0, -1).map(({ to }) => to),
      y1: px(bars.slice(0, -1).map((_, row) => barTop(row) + barHeight)),
      y2: px(bars.slice(0, -1).map((_, row) => barTop(row + 1))),
      stroke: curveEdge,
      strokeDasharray: "3 3",
    }),
    Plot.rect(rows(bars.length), {
      ...box,
      fill: { value: bars.map(({ whole }) => (whole ? "#5a5a5a" : "#d9d9d9")), scale: null },
    }),
    Plot.rect(rows(bars.length), {
      ...box,
      fill: { value: bars.map(({ whole }) => (whole ? "none" : patternFill("rising"))), scale: null },
    }),
    Plot.ruleX(rows(1), { x: [0], y1: px([frame.top]), y2: px([frame.bottom]), stroke: ink }),
    labelMark(
      Plot,
      bars.flatMap(({ label, text }, row) => {
        const y = barTop(row) - rowHeight / 2 - 2;
        const amount = frame.right - textWidth(text);
        return [
          { x: frame.left + 4, y, text: fitText(label, amount - frame.left - 14) },
          { x: amount, y, text },
        ];
      }),
    ),
  ];
  return plotOptions(frame, marks);
}
