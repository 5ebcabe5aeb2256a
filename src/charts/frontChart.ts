import type { ChartSize, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { bandFill, ink, paper, rowHeight } from "./chrome.ts";
import { axisMarks, type Frame, frameOf, labelMark, plotOptions, px, rows, toPixel } from "./frame.ts";
import { keyRows, keyTextX, sampleLength, textWidth } from "./labels.ts";
import { keySample, type Stroke, segmentMarks, toleranceStroke } from "./strokes.ts";
import { differenceTicks, differenceTop, roundTicks } from "./ticks.ts";

export interface FrontPoint {
  x: number;
  difference: number;
  /** keeps every tolerance */
  passes: boolean;
  /** short words beside the point */
  label?: string;
}

export interface FrontData {
  /** from the least to the greatest x */
  points: readonly FrontPoint[];
  /** index of the point that is looked at */
  chosen?: number;
  /** where things stand now */
  current?: { x: number; difference: number };
  tolerance: number;
  xLabel: string;
  yLabel: string;
}

const radius = 7;

/**
 * What a smaller difference costs: one point for each way of doing it, joined by steps. Full points pass, hollow ones do not;
 * the one looked at wears a ring, and a cross shows where things stand now.
 *
 * @throws RangeError without points
 */
export function frontChart(Plot: PlotLibrary, data: FrontData, size: ChartSize): PlotOptions {
  const { points, chosen, current, tolerance } = data;
  if (points.length === 0) throw new RangeError("points: none given, at least 1 needed");
  const texts = ["passes", "does not", `tolerance ${tolerance}`, ...(current ? ["as it is now"] : [])];
  const key = keyRows(texts, 4, size.width - 4, 2);
  const keyRoom = key.rows * rowHeight;
  const xs = [...points.map(({ x }) => x), ...(current ? [current.x] : [])];
  const differences = [...points.map(({ difference }) => difference), current?.difference ?? 0];
  const [least, greatest] = [Math.min(...xs), Math.max(...xs)];
  const pad = Math.max((greatest - least) * 0.06, greatest * 0.02, 1e-9);
  const frame = frameOf(
    size,
    { top: keyRoom + 2 * rowHeight + 12, right: 22, bottom: 50, left: 42 },
    { domain: [Math.max(0, least - pad), greatest + pad] },
    { type: "sqrt", domain: [0, differenceTop(Math.max(tolerance, ...differences))] },
  );
  const places = points.map(({ x, difference }) => ({
    x: toPixel(frame.x, x),
    y: toPixel(frame.y, difference),
  }));
  const steps = places.slice(1).flatMap((place, i) => [
    { x1: places[i].x, y1: places[i].y, x2: place.x, y2: places[i].y },
    { x1: place.x, y1: places[i].y, x2: place.x, y2: place.y },
  ]);
  const toleranceY = toPixel(frame.y, tolerance);
  const samples = key.places.map(({ x, y }) => ({ x: x + sampleLength / 2, y }));
  const dots = [
    ...places.map((place, i) => ({ ...place, full: points[i].passes })),
    { ...samples[0], full: true },
    { ...samples[1], full: false },
  ];
  const crosses = current
    ? [{ x: toPixel(frame.x, current.x), y: toPixel(frame.y, current.difference) }, samples[3]]
    : [];
  const ring = chosen === undefined ? [] : [places[chosen]];
  const thin: Stroke = { colour: ink, dash: "", width: 1.6 };
  return plotOptions(frame, [
    ...axisMarks(Plot, frame, {
      xTicks: roundTicks(frame.x.domain[0], frame.x.domain[1], (frame.right - frame.left) / 90),
      yTicks: differenceTicks(frame.y.domain[1]),
      xLabel: data.xLabel,
      yLabel: data.yLabel,
      yLabelAt: keyRoom + 16,
    }),
    ...segmentMarks(
      Plot,
      [
        ...steps,
        { x1: frame.left, y1: toleranceY, x2: frame.right, y2: toleranceY },
        keySample(key.places[2]),
      ],
      [...steps.map(() => thin), toleranceStroke, toleranceStroke],
    ),
    ...(ring.length > 0
      ? [
          Plot.dot(rows(1), {
            x: px(ring.map(({ x }) => x)),
            y: px(ring.map(({ y }) => y)),
            r: radius + 6,
            fill: bandFill,
            stroke: ink,
            strokeWidth: 2.5,
          }),
        ]
      : []),
    Plot.dot(rows(dots.length), {
      x: px(dots.map(({ x }) => x)),
      y: px(dots.map(({ y }) => y)),
      r: radius,
      fill: { value: dots.map(({ full }) => (full ? ink : paper)), scale: null } as never,
      stroke: ink,
      strokeWidth: 2,
    }),
    ...(crosses.length > 0
      ? [
          Plot.dot(rows(crosses.length), {
            x: px(crosses.map(({ x }) => x)),
            y: px(crosses.map(({ y }) => y)),
            r: radius + 2,
            symbol: "times",
            stroke: ink,
            strokeWidth: 3,
          }),
        ]
      : []),
    labelMark(
      Plot,
      key.places.map((place) => ({ x: keyTextX(place), y: place.y, text: place.text })),
    ),
    labelMark(Plot, pointLabels(data, places, frame)),
  ]);
}

/** Words beside the points where they touch neither each other nor the edges; a point without room goes without. */
function pointLabels({ points }: FrontData, places: { x: number; y: number }[], frame: Frame) {
  const taken: { left: number; right: number; y: number }[] = [];
  return points.flatMap(({ label }, i) => {
    if (!label) return [];
    const width = textWidth(label);
    const { x, y } = places[i];
    for (const [dx, dy] of [
      [radius + 5, -rowHeight * 0.8],
      [-radius - 5 - width, -rowHeight * 0.8],
      [-width / 2, -rowHeight * 1.3],
      [radius + 5, rowHeight * 0.8],
      [-radius - 5 - width, rowHeight * 0.8],
    ]) {
      const spot = { left: x + dx, right: x + dx + width, y: y + dy };
      const inside =
        spot.left >= frame.left + 4 &&
        spot.right <= frame.size.width - 2 &&
        spot.y >= frame.top - rowHeight &&
        spot.y <= frame.bottom - rowHeight / 2;
      const free = !taken.some(
        (other) =>
          Math.abs(other.y - spot.y) < rowHeight &&
          other.left < spot.right + 6 &&
          spot.left < other.right + 6,
      );
      if (!inside || !free) continue;
      taken.push(spot);
      return [{ x: spot.left, y: spot.y, text: label }];
    }
    return [];
  });
}
