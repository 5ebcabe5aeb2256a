import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { hairline, ink, inkSoft, paper, rowHeight, textSize } from "./chrome.ts";
import { textWidth } from "./labels.ts";

export interface Margins {
  top: number;
  right: number;
  bottom: number;
  left: number;
}

/** One axis: domain in data units, range in px. "sqrt" widens the region near zero; "log" has no place for zero. */
export interface Axis {
  type: "linear" | "sqrt" | "log";
  domain: readonly [number, number];
  range: readonly [number, number];
}

/** Plot area of a chart: pixel edges and the two axes. */
export interface Frame {
  size: ChartSize;
  margins: Margins;
  left: number;
  right: number;
  top: number;
  bottom: number;
  x: Axis;
  y: Axis;
}

function bend(type: Axis["type"], value: number): number {
  if (type === "linear") return value;
  return type === "log" ? Math.log(value) : Math.sign(value) * Math.sqrt(Math.abs(value));
}

/** Data value → px, the same mapping that Plot makes of the axis. */
export function toPixel(axis: Axis, value: number): number {
  const from = bend(axis.type, axis.domain[0]);
  const to = bend(axis.type, axis.domain[1]);
  const share = (bend(axis.type, value) - from) / (to - from);
  return axis.range[0] + share * (axis.range[1] - axis.range[0]);
}

/** Least height of the plot area, px. A key of many rows makes the picture taller rather than the curves flat. */
export const leastPlotHeight = 150;

export function frameOf(
  size: ChartSize,
  margins: Margins,
  x: { domain: readonly [number, number] },
  y: { domain: readonly [number, number]; type?: Axis["type"] },
): Frame {
  const left = margins.left;
  const right = Math.max(left + 20, size.width - margins.right);
  const top = margins.top;
  const bottom = Math.max(top + leastPlotHeight, size.height - margins.bottom);
  return {
    size: { width: size.width, height: bottom + margins.bottom },
    margins,
    left,
    right,
    top,
    bottom,
    x: { type: "linear", domain: x.domain, range: [left, right] },
    y: { type: y.type ?? "linear", domain: y.domain, range: [bottom, top] },
  };
}

/** A channel given in px, past the scales. */
export function px(values: number[]): { value: number[]; scale: null } {
  return { value: values, scale: null };
}

/** Rows 0 … length−1 for marks whose channels are given as arrays. */
export function rows(length: number): { length: number } {
  return { length };
}

export interface Tick {
  at: number;
  text: string;
}

export interface AxisTexts {
  xTicks: Tick[];
  yTicks: Tick[];
  xLabel: string;
  yLabel: string;
  /** middle of the yLabel, px; just above the plot area when left out */
  yLabelAt?: number;
  /** right end of the texts of the y ticks, px, where something else stands beside the plot area */
  yTicksAt?: number;
}

/**
 * Grid lines, tick texts and axis names. Own rule and text marks instead of Plot's axis marks: four marks in all,
 * the tick values known beforehand, and about a third of the drawing time.
 */
export function axisMarks(Plot: PlotLibrary, frame: Frame, texts: AxisTexts): Mark[] {
  const { left, right, bottom, top } = frame;
  const { xTicks } = texts;
  const yTicks = roomyTicks(frame.y, texts.yTicks);
  return [
    Plot.ruleY(rows(yTicks.length), {
      y: yTicks.map((tick) => tick.at),
      x1: px(yTicks.map(() => (texts.yTicksAt === undefined ? left : texts.yTicksAt + 6))),
      x2: px(yTicks.map(() => right)),
      stroke: { value: yTicks.map((tick) => (tick.at === 0 ? inkSoft : hairline)), scale: null },
    }),
    Plot.ruleX(rows(xTicks.length), {
      x: xTicks.map((tick) => tick.at),
      y1: px(xTicks.map(() => bottom)),
      y2: px(xTicks.map(() => bottom + 6)),
      stroke: inkSoft,
    }),
    Plot.text(rows(xTicks.length + 1), {
      x: px([...xTicks.map((tick) => toPixel(frame.x, tick.at)), (left + right) / 2]),
      y: px([...xTicks.map(() => bottom + 18), bottom + 39]),
      text: [...xTicks.map((tick) => tick.text), texts.xLabel],
      fill: inkSoft,
    }),
    Plot.text(rows(yTicks.length), {
      x: px(yTicks.map(() => texts.yTicksAt ?? left - 8)),
      y: yTicks.map((tick) => tick.at),
      text: yTicks.map((tick) => tick.text),
      textAnchor: "end",
      fill: inkSoft,
    }),
    Plot.text(rows(1), {
      x: px([4]),
      y: px([texts.yLabelAt ?? top - 16]),
      text: [texts.yLabel],
      textAnchor: "start",
      fill: inkSoft,
    }),
  ];
}

/** Leaves out ticks whose texts would touch the tick before; the first one, as a rule zero, always stays. */
function roomyTicks(axis: Axis, ticks: Tick[]): Tick[] {
  const kept: Tick[] = [];
  let last = Number.POSITIVE_INFINITY;
  for (const tick of ticks) {
    const place = toPixel(axis, tick.at);
    if (Math.abs(last - place) < textSize + 2) continue;
    kept.push(tick);
    last = place;
  }
  return kept;
}

/** Options common to all charts: fixed scales without Plot's own axes, text size and neutral ink. */
export function plotOptions(frame: Frame, marks: Mark[]): PlotOptions {
  return {
    width: frame.size.width,
    height: frame.size.height,
    marginTop: frame.margins.top,
    marginRight: frame.margins.right,
    marginBottom: frame.margins.bottom,
    marginLeft: frame.margins.left,
    axis: null,
    x: { type: frame.x.type, domain: [...frame.x.domain], range: [...frame.x.range] },
    y: { type: frame.y.type, domain: [...frame.y.domain], range: [...frame.y.range] },
    style: { fontSize: `${textSize}px`, fontFamily: "inherit", color: ink, background: "transparent" },
    marks,
  };
}

/** Words beginning at x (px), their middle at y (px). They stand beside the curves, so they need no halo. */
export function labelMark(
  Plot: PlotLibrary,
  labels: { x: number; y: number; text: string }[],
  weight: "normal" | "bold" = "normal",
): Mark {
  return Plot.text(rows(labels.length), {
    x: px(labels.map((label) => label.x)),
    y: px(labels.map((label) => label.y)),
    text: labels.map((label) => label.text),
    textAnchor: "start",
    fill: ink,
    fontWeight: weight,
  });
}

/** Paper-coloured plates under names that stand on something, or hatching and colour would drown them. */
export function plateMark(
  Plot: PlotLibrary,
  labels: { x: number; y: number; text: string }[],
  { bold = false, edge = true }: { bold?: boolean; edge?: boolean } = {},
): Mark {
  const room = edge ? 5 : 2;
  return Plot.rect(rows(labels.length), {
    x1: px(labels.map((label) => label.x - room)),
    x2: px(labels.map((label) => label.x + textWidth(label.text, bold) + room)),
    y1: px(labels.map((label) => label.y - rowHeight / 2)),
    y2: px(labels.map((label) => label.y + rowHeight / 2)),
    fill: paper,
    fillOpacity: edge ? 1 : 0.85,
    stroke: edge ? ink : "none",
    strokeWidth: 0.5,
    rx: 3,
  });
}

/** Left end of a bold text centred on x where the edges allow it, px. */
export function centredStart(text: string, x: number, left: number, right: number): number {
  const width = textWidth(text, true);
  return Math.max(left, Math.min(x - width / 2, right - width));
}
