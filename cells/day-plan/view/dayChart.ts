import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "../../../src/charts/chartTypes.ts";
import { curveEdge, hairline, ink, inkSoft, rowHeight } from "../../../src/charts/chrome.ts";
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
import { type Bar, clockText, withoutNights } from "../../../src/job/workPlan.ts";

export interface DayChartData {
  /** names of the groups of parts, in the order of `Bar.group` */
  readonly groups: readonly string[];
  readonly bars: readonly Bar[];
  /** working minutes in a day */
  readonly dayLength: number;
  /** minutes after midnight at which the first day begins */
  readonly startOfDay: number;
  /** minutes of the clock at which the last gun is clean */
  readonly workEnds: number;
  /** colour of the layers, by name */
  readonly colours: ReadonlyMap<string, string>;
}

const barHeight = 26;
const rowPitch = rowHeight + barHeight + 16;
const kinds = [
  { kind: "coat", label: "coat (its own colour)", grey: "#9a9a9a", pattern: "none" },
  { kind: "flash-off", label: "flashes off", grey: "#f5f5f5", pattern: "dots" },
  { kind: "bench", label: "mixing, cleaning", grey: "#d0d0d0", pattern: "rising" },
  { kind: "cure", label: "cures", grey: "#f5f5f5", pattern: "level" },
] as const satisfies readonly { kind: Bar["kind"]; label: string; grey: string; pattern: PatternName }[];

/** Height that so many groups ask for, px. */
export function dayHeight(groups: number, width: number): number {
  return keyHeight(width) + Math.max(leastPlotHeight, (groups + 1) * rowPitch) + 50;
}

const keyOf = (width: number) =>
  keyRows(
    kinds.map((kind) => kind.label),
    4,
    width - 4,
    2,
  );
const keyHeight = (width: number) => keyOf(width).rows * rowHeight + 12;

/**
 * The day as bars: one row for the bench, one for each kind of part. Nights are left out; a line parts the days.
 * Curing runs on past the right edge.
 */
export function dayChart(Plot: PlotLibrary, data: DayChartData, size: ChartSize): PlotOptions {
  const { groups, dayLength } = data;
  const at = (minutes: number) => withoutNights(minutes, dayLength);
  const last = Math.max(1, at(data.workEnds));
  const key = keyOf(size.width);
  const frame = frameOf(
    { width: size.width, height: dayHeight(groups.length, size.width) },
    { top: keyHeight(size.width), right: 20, bottom: 50, left: 24 },
    { domain: [0, last * 1.06] },
    { domain: [0, 1] },
  );
  const barTop = (row: number) => frame.top + row * rowPitch + rowHeight + 2;
  const pieces = data.bars
    .map((bar) => ({
      ...bar,
      row: bar.group === undefined ? 0 : bar.group + 1,
      x1: toPixel(frame.x, Math.min(at(bar.start), frame.x.domain[1])),
      x2: toPixel(frame.x, Math.min(at(bar.end), frame.x.domain[1])),
    }))
    .filter(({ x1, x2 }) => x2 > x1);
  const look = (bar: (typeof pieces)[number]) => kinds.find(({ kind }) => kind === bar.kind)!;
  const inset = (bar: (typeof pieces)[number]) => (bar.kind === "flash-off" || bar.kind === "cure" ? 8 : 0);
  const box = {
    x1: px(pieces.map(({ x1 }) => x1)),
    x2: px(pieces.map(({ x2 }) => x2)),
    y1: px(pieces.map((bar) => barTop(bar.row) + inset(bar))),
    y2: px(pieces.map((bar) => barTop(bar.row) + barHeight - inset(bar))),
  };
  const block = {
    x1: px(key.places.map((place) => place.x)),
    x2: px(key.places.map((place) => place.x + sampleLength)),
    y1: px(key.places.map((place) => place.y - 8)),
    y2: px(key.places.map((place) => place.y + 8)),
  };
  const hatch = (pattern: PatternName) => (pattern === "none" ? "none" : patternFill(pattern));
  const ticks = clockTicks(data, frame.right - frame.left, last);
  const days = Array.from({ length: Math.floor((last - 1e-9) / dayLength) }, (_, i) => (i + 1) * dayLength);
  const marks: Mark[] = [
    patternDefinitions(kinds.map((kind) => kind.pattern)),
    Plot.ruleX(rows(ticks.length), {
      x: ticks.map((tick) => tick.at),
      y1: px(ticks.map(() => frame.top + rowHeight)),
      y2: px(ticks.map(() => frame.bottom + 6)),
      stroke: hairline,
    }),
    Plot.ruleX(rows(days.length), {
      x: days,
      y1: px(days.map(() => frame.top)),
      y2: px(days.map(() => frame.bottom + 6)),
      stroke: ink,
      strokeWidth: 3,
    }),
    Plot.text(rows(ticks.length + 1), {
      x: px([...ticks.map((tick) => toPixel(frame.x, tick.at)), (frame.left + frame.right) / 2]),
      y: px([...ticks.map(() => frame.bottom + 18), frame.bottom + 39]),
      text: [...ticks.map((tick) => tick.text), "Time of day"],
      fill: inkSoft,
    }),
    ...boxes(
      Plot,
      box,
      pieces.map((bar) => (bar.kind === "coat" && data.colours.get(bar.layer)) || look(bar).grey),
      pieces.map((bar) => hatch(look(bar).pattern)),
    ),
    ...boxes(
      Plot,
      block,
      kinds.map(({ grey }) => grey),
      kinds.map(({ pattern }) => hatch(pattern)),
    ),
    labelMark(
      Plot,
      key.places.map((place) => ({ x: keyTextX(place), y: place.y, text: place.text })),
    ),
    labelMark(
      Plot,
      ["At the bench", ...groups].map((name, row) => ({
        x: 4,
        y: barTop(row) - rowHeight / 2 - 2,
        text: fitText(name, frame.right),
      })),
    ),
    coatNumbers(Plot, pieces, barTop, data.colours),
  ];
  return plotOptions(frame, marks);
}

interface Piece extends Bar {
  readonly row: number;
  readonly x1: number;
  readonly x2: number;
}

/** Number of each coat within its layer, where the bar is wide enough, dark or light to stand out from it. */
function coatNumbers(
  Plot: PlotLibrary,
  pieces: readonly Piece[],
  barTop: (row: number) => number,
  colours: ReadonlyMap<string, string>,
): Mark {
  const numbers = pieces.flatMap((bar) => {
    const text = /\d+$/.exec(bar.label)?.[0] ?? "1";
    if (bar.kind !== "coat" || bar.x2 - bar.x1 < textWidth(text) + 4) return [];
    const fill = isDark(colours.get(bar.layer) ?? "") ? "#ffffff" : "#000000";
    return [{ x: (bar.x1 + bar.x2) / 2, y: barTop(bar.row) + barHeight / 2, text, fill }];
  });
  return Plot.text(rows(numbers.length), {
    x: px(numbers.map(({ x }) => x)),
    y: px(numbers.map(({ y }) => y)),
    text: numbers.map(({ text }) => text),
    fill: { value: numbers.map(({ fill }) => fill), scale: null },
    fontWeight: "bold",
  });
}

/** Whether white text reads better on a CSS colour (`#rrggbb` or `color(display-p3 r g b)`). */
function isDark(colour: string): boolean {
  const hex = /^#(..)(..)(..)$/.exec(colour);
  const rgb = hex
    ? hex.slice(1).map((part) => Number.parseInt(part, 16) / 255)
    : (colour.match(/[\d.]+(?=[\s)])/g) ?? []).slice(-3).map(Number);
  if (rgb.length < 3) return false;
  // Relative luminance; 0.18 lies where black and white text are equally far from the ground (WCAG 2).
  const [r, g, b] = rgb.map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b < 0.18;
}

/** Ticks on full hours of the clock, as many as there is room for. */
function clockTicks({ startOfDay, dayLength }: DayChartData, room: number, last: number) {
  const most = Math.max(2, Math.floor(room / 64));
  const step =
    [30, 60, 120, 240, 480, 720].find((minutes) => last / minutes <= most) ??
    Math.ceil(last / most / 720) * 720;
  const ticks: { at: number; text: string }[] = [];
  for (let day = 0; day * dayLength <= last; day++) {
    const first = Math.ceil(startOfDay / step) * step - startOfDay;
    for (
      let minute = first;
      minute < dayLength || (minute === dayLength && day * dayLength + minute >= last);
      minute += step
    ) {
      const at = day * dayLength + minute;
      if (at > last * 1.04) break;
      ticks.push({ at, text: clockText(startOfDay, minute).slice(0, 5) });
    }
  }
  return ticks;
}

/** Boxes filled with a colour, and again with a hatching. */
function boxes(
  Plot: PlotLibrary,
  box: Record<"x1" | "x2" | "y1" | "y2", ReturnType<typeof px>>,
  colours: string[],
  hatches: string[],
): Mark[] {
  const edge = { ...box, stroke: curveEdge, strokeWidth: 1 };
  return [
    Plot.rect(rows(colours.length), { ...edge, fill: { value: colours, scale: null } }),
    Plot.rect(rows(colours.length), { ...edge, fill: { value: hatches, scale: null } }),
  ];
}
