import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { hairline, ink, inkSoft, rowHeight } from "./chrome.ts";
import {
  axisMarks,
  type Frame,
  frameOf,
  labelMark,
  plateMark,
  plotOptions,
  px,
  rows,
  toPixel,
} from "./frame.ts";
import { spreadLabels, textWidth } from "./labels.ts";
import { roundTicks } from "./ticks.ts";

export interface ColourMove {
  label: string;
  /** changes of a*, b* and L* */
  a: number;
  b: number;
  lightness: number;
  /** CSS colour of the arrow */
  colour: string;
}

export interface ArrowsData {
  moves: readonly ColourMove[];
  /** hue angle of the mix, degrees: the direction of more chroma is drawn as a guide */
  hue: number;
}

/** Room for the texts of the ticks, between an arrow and its name, and on either side of the line of lightness, px. */
const tickRoom = 26;
const nameGap = 6;
const lightnessHalf = 30;
/** Below this width, px, the changes of lightness stand under the plot. */
const narrow = 520;

/** Left edge and side of the square that leaves room for every name beside it, and the room on its right, px. */
function roomFor(moves: ArrowsData["moves"], reach: number, size: ChartSize, isNarrow: boolean) {
  let side = size.height - (isNarrow ? 144 : 86);
  let left = tickRoom + 12;
  let right = 8;
  for (let round = 0; round < 6; round++) {
    for (const { a, label } of moves) {
      const end = ((a / reach + 1) / 2) * side;
      const name = textWidth(label) + nameGap + 4;
      if (a < 0) left = Math.max(left, tickRoom + 12 + name - end);
      else right = Math.max(right, end + name - side);
    }
    const most = size.width - left - right - (isNarrow ? 0 : 2 * lightnessHalf);
    if (side <= most) break;
    side = Math.max(60, most);
  }
  return { left, side, right };
}

/**
 * Moves of a colour on the a*b* plane, all from one origin, with their changes of lightness on a line beside or under them.
 * Both axes have one scale. The dotted guide runs along the hue of the mix: outward is stronger, inward duller, one side
 * yellower, the other bluer.
 */
export function arrowsChart(Plot: PlotLibrary, { moves, hue }: ArrowsData, size: ChartSize): PlotOptions {
  const reach = Math.max(1e-6, ...moves.map(({ a, b }) => Math.max(Math.abs(a), Math.abs(b)))) * 1.15;
  const isNarrow = size.width < narrow;
  const { left, side, right } = roomFor(moves, reach, size, isNarrow);
  const frame = frameOf(
    { width: size.width, height: size.height },
    { top: 34, right: size.width - left - side, bottom: size.height - 34 - side, left },
    { domain: [-reach, reach] },
    { domain: [-reach, reach] },
  );
  const ticks = roundTicks(-reach, reach, Math.max(2, Math.round(side / 90)));
  const along = (hue * Math.PI) / 180;
  const lightest = Math.max(1e-6, ...moves.map(({ lightness }) => Math.abs(lightness))) * 1.15;
  const lightness = moves.map((move) => ({
    offset: (move.lightness / lightest) * (side / 2),
    colour: move.colour,
  }));
  const ends = moves.map(({ a, b }) => ({ x: toPixel(frame.x, a), y: toPixel(frame.y, b) }));
  const places = new Array<number>(moves.length);
  // Names to the right of arrows that point right, to the left of the others; each column is spread by itself.
  for (const right of [true, false]) {
    const order = moves
      .flatMap(({ a }, i) => (a >= 0 === right ? [i] : []))
      .sort((p, q) => ends[p].y - ends[q].y);
    const spread = spreadLabels(
      order.map((i) => ends[i].y),
      rowHeight - 3,
      frame.top,
      frame.bottom,
    );
    order.forEach((i, k) => {
      places[i] = spread[k];
    });
  }
  const names = moves.map(({ a, label }, i) => ({
    x: ends[i].x + (a >= 0 ? nameGap : -nameGap - textWidth(label)),
    y: places[i],
    text: label,
  }));
  const arrows: Mark[] = moves.map(({ colour }, i) =>
    Plot.arrow(rows(1), {
      x1: px([toPixel(frame.x, 0)]),
      y1: px([toPixel(frame.y, 0)]),
      x2: px([ends[i].x]),
      y2: px([ends[i].y]),
      stroke: colour,
      strokeWidth: 3,
      headLength: 7,
    }),
  );
  return plotOptions(frame, [
    ...axisMarks(Plot, frame, {
      xTicks: ticks,
      yTicks: ticks,
      xLabel: "change of a*",
      yLabel: "change of b*",
      yTicksAt: tickRoom,
    }),
    Plot.ruleX([0], { stroke: inkSoft, y1: px([frame.top]), y2: px([frame.bottom]) }),
    Plot.link(rows(1), {
      x1: [-reach * Math.cos(along)],
      y1: [-reach * Math.sin(along)],
      x2: [reach * Math.cos(along)],
      y2: [reach * Math.sin(along)],
      stroke: ink,
      strokeDasharray: "2 6",
    }),
    labelMark(Plot, [
      {
        x: Math.min(frame.right - 62, toPixel(frame.x, reach * 0.97 * Math.cos(along)) - 30),
        y: toPixel(frame.y, reach * 0.97 * Math.sin(along)) + 10,
        text: "stronger",
      },
    ]),
    // A thin line leads from an arrow to a name that had to make room for others.
    Plot.link(rows(moves.length), {
      x1: px(ends.map(({ x }) => x)),
      y1: px(ends.map(({ y }) => y)),
      x2: px(names.map(({ x, text }, i) => (moves[i].a >= 0 ? x - 2 : x + textWidth(text) + 2))),
      y2: px(places),
      stroke: inkSoft,
      strokeWidth: 1,
    }),
    ...arrows,
    plateMark(Plot, names, { edge: false }),
    labelMark(Plot, names),
    ...(isNarrow
      ? lightnessBelow(Plot, frame, lightness)
      : lightnessBeside(Plot, frame, frame.right + right + lightnessHalf, lightness)),
  ]);
}

interface LightnessMark {
  /** px towards lighter */
  offset: number;
  colour: string;
}

/** The changes of lightness on a line of their own, upwards for lighter. */
function lightnessBeside(Plot: PlotLibrary, frame: Frame, x0: number, marks: LightnessMark[]): Mark[] {
  const middle = (frame.top + frame.bottom) / 2;
  return [
    Plot.ruleX(rows(1), { x: px([x0]), y1: px([frame.top]), y2: px([frame.bottom]), stroke: hairline }),
    Plot.ruleY(rows(marks.length), {
      y: px(marks.map(({ offset }) => middle - offset)),
      x1: px(marks.map(() => x0 - 14)),
      x2: px(marks.map(() => x0 + 14)),
      stroke: { value: marks.map(({ colour }) => colour), scale: null } as never,
      strokeWidth: 4,
    }),
    Plot.ruleY(rows(1), { y: px([middle]), x1: px([x0 - 20]), x2: px([x0 + 20]), stroke: inkSoft }),
    labelMark(Plot, [
      { x: x0 - textWidth("lighter") / 2, y: frame.top - 16, text: "lighter" },
      { x: x0 - textWidth("darker") / 2, y: frame.bottom + 16, text: "darker" },
    ]),
  ];
}

/** The same under the plot, to the right for lighter, where there is no room beside it. */
function lightnessBelow(Plot: PlotLibrary, frame: Frame, marks: LightnessMark[]): Mark[] {
  const middle = (frame.left + frame.right) / 2;
  const y0 = frame.bottom + 72;
  return [
    Plot.ruleY(rows(1), { y: px([y0]), x1: px([frame.left]), x2: px([frame.right]), stroke: hairline }),
    Plot.ruleX(rows(marks.length), {
      x: px(marks.map(({ offset }) => middle + offset)),
      y1: px(marks.map(() => y0 - 12)),
      y2: px(marks.map(() => y0 + 12)),
      stroke: { value: marks.map(({ colour }) => colour), scale: null } as never,
      strokeWidth: 4,
    }),
    Plot.ruleX(rows(1), { x: px([middle]), y1: px([y0 - 18]), y2: px([y0 + 18]), stroke: inkSoft }),
    labelMark(Plot, [
      { x: frame.left, y: y0 + 28, text: "darker" },
      { x: frame.right - textWidth("lighter"), y: y0 + 28, text: "lighter" },
    ]),
  ];
}
