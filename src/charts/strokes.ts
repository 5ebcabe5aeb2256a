import type { Mark, PlotLibrary } from "./chartTypes.ts";
import { curveEdge, ink } from "./chrome.ts";
import { px, rows } from "./frame.ts";
import type { KeyPlace } from "./labels.ts";
import { sampleLength } from "./labels.ts";

/** How one curve is drawn: two curves of one chart never share a dash pattern before the patterns run out. */
export interface Stroke {
  colour: string;
  dash: string;
  width: number;
}

/** Dash patterns told apart at arm's length; "" is a full line. Flat ends, so that the gaps stay open. */
export const dashes: readonly string[] = [
  "",
  "14 5",
  "3 4",
  "14 4 3 4",
  "8 4",
  "22 5",
  "14 4 3 4 3 4",
  "3 9",
];

/** The dots of a tolerance line, and the patterns that stay clear of it. */
export const toleranceStroke: Stroke = { colour: ink, dash: "2 5", width: 2 };
export const lineDashes = dashes.filter((dash) => dash !== "3 4");

interface RenderedPath extends SVGPathElement {
  __data__?: number[];
}

/** Gives each drawn path the width and dash of its own curve; Plot itself allows one dash for a whole mark. */
function dashed(strokes: readonly Stroke[], curveOfRow: ArrayLike<number>, extra: number) {
  return (...args: unknown[]): SVGElement | null => {
    const next = args[5] as (...passed: unknown[]) => SVGElement | null;
    const group = next(...args.slice(0, 5));
    for (const path of (group?.querySelectorAll("path") ?? []) as Iterable<RenderedPath>) {
      const stroke = strokes[curveOfRow[path.__data__?.find((row) => row >= 0) ?? 0]];
      path.setAttribute("stroke-width", `${stroke.width + extra}`);
      if (stroke.dash !== "") path.setAttribute("stroke-dasharray", stroke.dash);
    }
    return group;
  };
}

export interface CurveSet {
  x: number[] | Float64Array;
  y: number[] | Float64Array;
  /** index of the curve each point belongs to */
  curve: Uint16Array;
}

/** Joins curves that may share one x array into the columns of a single mark. */
export function curveSet(curves: readonly { x: ArrayLike<number>; y: ArrayLike<number> }[]): CurveSet {
  let length = 0;
  for (const { x, y } of curves) length += Math.min(x.length, y.length);
  const set = { x: new Float64Array(length), y: new Float64Array(length), curve: new Uint16Array(length) };
  let row = 0;
  curves.forEach(({ x, y }, curve) => {
    const points = Math.min(x.length, y.length);
    for (let i = 0; i < points; i++, row++) {
      set.x[row] = x[i];
      set.y[row] = y[i];
      set.curve[row] = curve;
    }
  });
  return set;
}

/** All curves of a chart as two marks: the edges, and the colours on top. */
export function curveMarks(Plot: PlotLibrary, set: CurveSet, strokes: readonly Stroke[]): Mark[] {
  const length = set.curve.length;
  const options = (extra: number) => ({
    x: set.x,
    y: set.y,
    z: set.curve,
    strokeLinecap: "butt" as const,
    clip: false,
    render: dashed(strokes, set.curve, extra) as never,
  });
  return [
    Plot.line(rows(length), { ...options(1.6), stroke: curveEdge }),
    Plot.line(rows(length), {
      ...options(0),
      stroke: { value: Array.from(set.curve, (curve) => strokes[curve].colour), scale: null },
    }),
  ];
}

/** A straight line between two places, px. */
export interface Segment {
  x1: number;
  y1: number;
  x2: number;
  y2: number;
}

/** Straight lines, each in its own stroke (samples of a key, leaders to labels, tolerance, markers), as two marks. */
export function segmentMarks(
  Plot: PlotLibrary,
  lines: readonly Segment[],
  strokes: readonly Stroke[],
): Mark[] {
  const points = lines.length * 2;
  const curve = Uint16Array.from({ length: points }, (_, i) => i >> 1);
  const options = (extra: number) => ({
    x: px(lines.flatMap((line) => [line.x1, line.x2])),
    y: px(lines.flatMap((line) => [line.y1, line.y2])),
    z: curve,
    strokeLinecap: "butt" as const,
    render: dashed(strokes, curve, extra) as never,
  });
  return [
    Plot.line(rows(points), { ...options(1.6), stroke: curveEdge }),
    Plot.line(rows(points), {
      ...options(0),
      stroke: { value: Array.from(curve, (c) => strokes[c].colour), scale: null },
    }),
  ];
}

/** Strokes for the leaders between curve ends and labels: the same dashes, none heavier than a plain curve. */
export function leaderStrokes(strokes: readonly Stroke[]): Stroke[] {
  return strokes.map((stroke) => ({ ...stroke, width: Math.min(2, stroke.width) }));
}

/** The line sample in front of a key text. */
export function keySample(place: KeyPlace): Segment {
  return { x1: place.x, y1: place.y, x2: place.x + sampleLength, y2: place.y };
}
