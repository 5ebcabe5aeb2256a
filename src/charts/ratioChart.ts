import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { bandFill, ink, inkSoft, rowHeight, surround } from "./chrome.ts";
import {
  axisMarks,
  type Frame,
  frameOf,
  labelMark,
  plotOptions,
  px,
  rows,
  type Tick,
  toPixel,
} from "./frame.ts";
import { type KeyPlace, keyRows, keyTextX, sampleLength, textWidth } from "./labels.ts";
import {
  curveMarks,
  curveSet,
  keySample,
  lineDashes,
  type Stroke,
  segmentMarks,
  toleranceStroke,
} from "./strokes.ts";
import { differenceTicks, differenceTop } from "./ticks.ts";

export interface RatioCurve {
  label: string;
  /** colour difference at each ratio */
  deltaE: ArrayLike<number>;
}

export interface RatioData {
  /** blend ratios, 0…1, increasing, at least two */
  ratios: ArrayLike<number>;
  /** colour difference to the target at each ratio */
  deltaE: ArrayLike<number>;
  /** CSS colour that results at each ratio */
  colours: readonly string[];
  /** ratio of the least difference */
  best: number;
  /** region about as good as the best */
  flat?: readonly [number, number];
  /** ratio now chosen */
  current: number;
  /** difference that passes */
  tolerance: number;
  xLabel: string;
  yLabel: string;
  /** name of the main curve; needed only beside further curves */
  label?: string;
  /** further curves, such as the expected difference when film build varies */
  curves?: readonly RatioCurve[];
}

const stripHeight = 30;
const stripFrame = 5;
const stripRoom = stripHeight + 2 * stripFrame + 4;

/**
 * Colour difference against blend ratio, with the best ratio, the flat region about it, the ratio now chosen, the
 * tolerance, and under the axis a strip of the colours that result. The difference axis is widened near zero.
 *
 * @throws RangeError when the lists differ in length or hold fewer than two ratios
 */
export function ratioChart(Plot: PlotLibrary, data: RatioData, size: ChartSize): PlotOptions {
  const { ratios, deltaE, colours, best, current, flat, tolerance, curves = [] } = data;
  const count = ratios.length;
  if (count < 2) throw new RangeError(`ratios: ${count} given, at least 2 needed`);
  for (const [name, length] of [
    ["deltaE", deltaE.length],
    ["colours", colours.length],
    ...curves.map((curve) => [`curve “${curve.label}”`, curve.deltaE.length] as const),
  ] as const) {
    if (length !== count) throw new RangeError(`${name}: ${length} values for ${count} ratios`);
  }

  const all = [{ label: data.label ?? "difference", deltaE }, ...curves];
  const key = keyRows(keyTexts(data, all), 4, size.width - 4, 2);
  const keyRoom = key.rows * rowHeight;
  const markerRow = keyRoom + rowHeight + 10;
  const frame = frameOf(
    size,
    { top: markerRow + 2 * rowHeight + 8, right: 18, bottom: 50 + stripRoom, left: 42 },
    { domain: [ratios[0], ratios[count - 1]] },
    {
      type: "sqrt",
      domain: [0, differenceTop(Math.max(tolerance, ...all.map((curve) => most(curve.deltaE))))],
    },
  );

  const strokes: Stroke[] = all.map((_, i) => ({
    colour: ink,
    dash: lineDashes[i % lineDashes.length],
    width: i === 0 ? 3 : 2.2,
  }));
  const set = curveSet(all.map((curve) => ({ x: ratios, y: curve.deltaE })));
  const below: Frame = { ...frame, bottom: frame.bottom + stripRoom };
  const toleranceY = toPixel(frame.y, tolerance);
  const curveSamples = key.places.slice(0, all.length + 1).map(keySample);
  const marked = markers(frame, best, current, markerRow);
  const lines = [
    ...curveSamples,
    { x1: frame.left, y1: toleranceY, x2: frame.right, y2: toleranceY },
    ...marked.lines,
  ];
  const keyLabels = key.places.map((place) => ({ x: keyTextX(place), y: place.y, text: place.text }));
  return plotOptions(frame, [
    blocks(Plot, frame, data, flat ? key.places[all.length + 1] : undefined),
    ...axisMarks(Plot, below, {
      xTicks: ratioTicks(ratios[0], ratios[count - 1], frame.right - frame.left),
      yTicks: differenceTicks(frame.y.domain[1]),
      xLabel: data.xLabel,
      yLabel: data.yLabel,
      yLabelAt: keyRoom + 16,
    }),
    ...curveMarks(Plot, set, strokes),
    ...segmentMarks(Plot, lines, [...strokes, toleranceStroke, toleranceStroke, ...marked.strokes]),
    labelMark(Plot, [...keyLabels, marked.best]),
    labelMark(Plot, [marked.current], "bold"),
  ]);
}

function keyTexts(data: RatioData, all: readonly RatioCurve[]): string[] {
  const { flat, tolerance } = data;
  return [
    ...all.map((curve) => curve.label),
    `tolerance ${tolerance}`,
    ...(flat ? [`flat ${percent(flat[0])}–${percent(flat[1])} %`] : []),
  ];
}

/**
 * All filled blocks as one mark: the flat region and its place in the key, the neutral surround, and on it the resulting
 * colours, edge to edge.
 */
function blocks(
  Plot: PlotLibrary,
  frame: Frame,
  { ratios, colours, flat }: RatioData,
  flatKey: KeyPlace | undefined,
): Mark {
  const count = ratios.length;
  const x = (ratio: number) => toPixel(frame.x, ratio);
  const top = frame.bottom + 4 + stripFrame;
  const list = colours.map((fill, i) => ({
    x1: x(i === 0 ? ratios[0] : (ratios[i - 1] + ratios[i]) / 2),
    x2: x(i === count - 1 ? ratios[i] : (ratios[i] + ratios[i + 1]) / 2),
    y1: top,
    y2: top + stripHeight,
    fill,
  }));
  list.unshift({
    x1: frame.left - stripFrame,
    x2: frame.right + stripFrame,
    y1: top - stripFrame,
    y2: top + stripHeight + stripFrame,
    fill: surround,
  });
  if (flat) list.unshift({ x1: x(flat[0]), x2: x(flat[1]), y1: frame.top, y2: frame.bottom, fill: bandFill });
  if (flatKey) {
    const { x, y } = flatKey;
    // An edge of its own, made of a darker block behind.
    list.unshift({ x1: x + 1, x2: x + sampleLength - 1, y1: y - 7, y2: y + 7, fill: bandFill });
    list.unshift({ x1: x, x2: x + sampleLength, y1: y - 8, y2: y + 8, fill: inkSoft });
  }
  return Plot.rect(rows(list.length), {
    x1: px(list.map((block) => block.x1)),
    x2: px(list.map((block) => block.x2)),
    y1: px(list.map((block) => block.y1)),
    y2: px(list.map((block) => block.y2)),
    fill: { value: list.map((block) => block.fill), scale: null },
    shapeRendering: "crispEdges",
  });
}

/**
 * Upright lines with their words beside them like flags: the best ratio dashed, the ratio now chosen full and heavy.
 * The flags point away from each other, and stand in rows of their own for when an edge pushes one over the other.
 */
function markers(frame: Frame, bestRatio: number, currentRatio: number, row: number) {
  const currentLeft = currentRatio <= bestRatio;
  const flag = (at: number, text: string, y: number, toLeft: boolean) => {
    const x = toPixel(frame.x, at);
    const width = textWidth(text, true);
    const start = toLeft ? x - width - 6 : x + 6;
    return { x: Math.max(2, Math.min(start, frame.size.width - width - 2)), y, text };
  };
  const upright = (at: number, y1: number, y2: number) => {
    const x = toPixel(frame.x, at);
    return { x1: x, y1, x2: x, y2 };
  };
  const best = flag(bestRatio, `best ${percent(bestRatio)} %`, row + rowHeight / 2, !currentLeft);
  const current = flag(currentRatio, `now ${percent(currentRatio)} %`, row + rowHeight * 1.5, currentLeft);
  return {
    best,
    current,
    lines: [
      upright(bestRatio, best.y - 8, frame.bottom),
      upright(currentRatio, current.y - 8, frame.bottom + 4 + stripHeight + 2 * stripFrame),
    ],
    strokes: [
      { colour: ink, dash: "8 4", width: 2 },
      { colour: ink, dash: "", width: 3 },
    ],
  };
}

function ratioTicks(from: number, to: number, room: number): Tick[] {
  const step = (room * 0.1) / (to - from) >= 46 ? 0.1 : (room * 0.2) / (to - from) >= 46 ? 0.2 : 0.25;
  const ticks: Tick[] = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= to + 1e-9; i++) {
    ticks.push({ at: i * step, text: percent(i * step) });
  }
  return ticks;
}

function percent(ratio: number): string {
  return `${Math.round(ratio * 100)}`;
}

function most(values: ArrayLike<number>): number {
  let found = 0;
  for (let i = 0; i < values.length; i++)
    if (Number.isFinite(values[i]) && values[i] > found) found = values[i];
  return found;
}
