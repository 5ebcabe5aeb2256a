import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { bandFill, ink, inkSoft, rowHeight } from "./chrome.ts";
import { axisMarks, type Frame, frameOf, labelMark, plotOptions, px, rows, toPixel } from "./frame.ts";
import { type KeyPlace, keyRows, keyTextX, sampleLength, textWidth } from "./labels.ts";
import { type PatternName, patternDefinitions, patternFill } from "./patterns.ts";
import {
  curveMarks,
  curveSet,
  keySample,
  lineDashes,
  type Stroke,
  segmentMarks,
  toleranceStroke,
} from "./strokes.ts";
import { differenceTicks, differenceTop, percentTicks, roundTicks } from "./ticks.ts";

export interface RibbonCurve {
  label: string;
  x: ArrayLike<number>;
  y: ArrayLike<number>;
}

export interface RibbonArea {
  label: string;
  x: ArrayLike<number>;
  low: ArrayLike<number>;
  high: ArrayLike<number>;
  /** hatched instead of plain, for a warning */
  hatched?: boolean;
}

/** An upright line with its words. */
export interface RibbonMarker {
  label: string;
  x: number;
  /** the place that is set now, drawn full and heavy */
  now?: boolean;
}

export interface RibbonData {
  curves: readonly RibbonCurve[];
  areas: readonly RibbonArea[];
  markers: readonly RibbonMarker[];
  /** difference that passes */
  tolerance: number;
  domain: readonly [number, number];
  /** shares are written in per cent, counts as whole numbers */
  xKind: "share" | "count";
  xLabel: string;
  yLabel: string;
}

/**
 * Colour difference along a setting, with the ranges that doubt gives it behind the curves. The difference axis is widened
 * near zero. Markers stand in rows of their own above the plot.
 *
 * @throws RangeError when a curve or an area has lists of different lengths
 */
export function ribbonChart(Plot: PlotLibrary, data: RibbonData, size: ChartSize): PlotOptions {
  const { curves, areas, markers, tolerance } = data;
  for (const { label, x, y } of curves) sameLength(label, x, y);
  for (const { label, x, low, high } of areas) {
    sameLength(label, x, low);
    sameLength(label, x, high);
  }
  const key = keyRows(
    [...curves, ...areas].map(({ label }) => label).concat(`tolerance ${tolerance}`),
    4,
    size.width - 4,
    2,
  );
  const keyRoom = key.rows * rowHeight;
  const markerTop = keyRoom + rowHeight + 12;
  const all = [...curves.map(({ y }) => y), ...areas.map(({ high }) => high)];
  const frame = frameOf(
    size,
    { top: markerTop + markers.length * rowHeight + 4, right: 18, bottom: 50, left: 42 },
    { domain: data.domain },
    { type: "sqrt", domain: [0, differenceTop(Math.max(tolerance, ...all.map(most)))] },
  );
  const strokes: Stroke[] = curves.map((_, i) => ({
    colour: ink,
    dash: lineDashes[i % lineDashes.length],
    width: i === 0 ? 3 : 2.4,
  }));
  const toleranceY = toPixel(frame.y, tolerance);
  const flags = markers.map((marker, row) => flag(frame, marker, markerTop + row * rowHeight));
  const curvePlaces = key.places.slice(0, curves.length);
  const areaPlaces = key.places.slice(curves.length, curves.length + areas.length);
  const tolerancePlace = key.places[key.places.length - 1];
  const room = frame.right - frame.left;
  return plotOptions(frame, [
    patternDefinitions(areas.map(({ hatched }): PatternName => (hatched ? "rising" : "none"))),
    ...areas.map((area) => areaMark(Plot, area)),
    ...areaKey(Plot, areas, areaPlaces),
    ...axisMarks(Plot, frame, {
      xTicks:
        data.xKind === "share"
          ? percentTicks(data.domain[1], room)
          : roundTicks(
              data.domain[0],
              data.domain[1],
              Math.min(data.domain[1] - data.domain[0], room / 34),
            ).filter(({ at }) => Number.isInteger(at)),
      yTicks: differenceTicks(frame.y.domain[1]),
      xLabel: data.xLabel,
      yLabel: data.yLabel,
      yLabelAt: keyRoom + 16,
    }),
    ...curveMarks(Plot, curveSet(curves), strokes),
    ...segmentMarks(
      Plot,
      [
        ...curvePlaces.map(keySample),
        keySample(tolerancePlace),
        { x1: frame.left, y1: toleranceY, x2: frame.right, y2: toleranceY },
        ...flags.map(({ line }) => line),
      ],
      [...strokes, toleranceStroke, toleranceStroke, ...flags.map(({ stroke }) => stroke)],
    ),
    labelMark(Plot, [
      ...key.places.map((place) => ({ x: keyTextX(place), y: place.y, text: place.text })),
      ...flags.filter(({ now }) => !now).map(({ label }) => label),
    ]),
    labelMark(
      Plot,
      flags.filter(({ now }) => now).map(({ label }) => label),
      "bold",
    ),
  ]);
}

function sameLength(label: string, x: ArrayLike<number>, y: ArrayLike<number>): void {
  if (x.length !== y.length) throw new RangeError(`“${label}”: ${y.length} values for ${x.length} places`);
}

function most(values: ArrayLike<number>): number {
  let found = 0;
  for (let i = 0; i < values.length; i++)
    if (values[i] > found && Number.isFinite(values[i])) found = values[i];
  return found;
}

function areaMark(Plot: PlotLibrary, { x, low, high, hatched }: RibbonArea): Mark {
  return Plot.areaY(rows(x.length), {
    x: Array.from(x),
    y1: Array.from(low),
    y2: Array.from(high),
    fill: hatched ? patternFill("rising") : bandFill,
    stroke: hatched ? inkSoft : "none",
    strokeWidth: 1,
  });
}

/** Blocks in front of the key texts of areas, with an edge of their own. */
function areaKey(Plot: PlotLibrary, areas: readonly RibbonArea[], places: readonly KeyPlace[]): Mark[] {
  if (areas.length === 0) return [];
  return [
    Plot.rect(rows(areas.length), {
      x1: px(places.map(({ x }) => x)),
      x2: px(places.map(({ x }) => x + sampleLength)),
      y1: px(places.map(({ y }) => y - 8)),
      y2: px(places.map(({ y }) => y + 8)),
      fill: {
        value: areas.map(({ hatched }) => (hatched ? patternFill("rising") : bandFill)),
        scale: null,
      } as never,
      stroke: inkSoft,
    }),
  ];
}

/** A marker's line and words; the words stand on the side where there is room. */
function flag(frame: Frame, { label, x: at, now = false }: RibbonMarker, row: number) {
  const x = toPixel(frame.x, at);
  const width = textWidth(label, true);
  const right = x + 7 + width < frame.size.width - 2;
  const y = row + rowHeight / 2;
  return {
    now,
    label: { x: right ? x + 7 : Math.max(2, x - 7 - width), y, text: label },
    line: { x1: x, y1: y - 8, x2: x, y2: frame.bottom },
    stroke: { colour: ink, dash: now ? "" : "8 4", width: now ? 3 : 2 } satisfies Stroke,
  };
}
