import type { ChartSize, PlotLibrary, PlotOptions } from "../../../src/charts/chartTypes.ts";
import { curveEdge, ink, paper } from "../../../src/charts/chrome.ts";
import { axisMarks, frameOf, labelMark, plotOptions, px, rows, toPixel } from "../../../src/charts/frame.ts";
import { textWidth } from "../../../src/charts/labels.ts";
import { curveMarks, curveSet, type Stroke, toleranceStroke } from "../../../src/charts/strokes.ts";
import { differenceTicks, differenceTop } from "../../../src/charts/ticks.ts";

export interface RecordPoint {
  /** ΔE00 between prediction and reading */
  readonly miss: number;
  /** median of all up to this one */
  readonly typical: number;
}

/**
 * The model against reality, reading after reading: each as a dot, the median so far as a line, and the difference that
 * passes as dots in a row.
 * @throws RangeError without points
 */
export function recordChart(
  Plot: PlotLibrary,
  data: { readonly points: readonly RecordPoint[]; readonly tolerance: number },
  size: ChartSize,
): PlotOptions {
  const { points, tolerance } = data;
  if (points.length === 0) throw new RangeError("points: none given, at least 1 needed");
  const count = points.length;
  const frame = frameOf(
    size,
    { top: 32, right: 16, bottom: 50, left: 42 },
    { domain: [0.5, count + 0.5] },
    { type: "sqrt", domain: [0, differenceTop(Math.max(tolerance, ...points.map(({ miss }) => miss)))] },
  );
  const step = Math.max(1, Math.ceil((count * 34) / (frame.right - frame.left)));
  const xTicks = Array.from({ length: Math.ceil(count / step) }, (_, i) => ({
    at: 1 + i * step,
    text: `${1 + i * step}`,
  }));
  const strokes: Stroke[] = [{ colour: ink, dash: "14 5", width: 2.4 }, toleranceStroke];
  const set = curveSet([
    {
      x: count === 1 ? [0.7, 1.3] : points.map((_, i) => i + 1),
      y: count === 1 ? [points[0].typical, points[0].typical] : points.map(({ typical }) => typical),
    },
    { x: [...frame.x.domain], y: [tolerance, tolerance] },
  ]);
  const passes = `passes ${tolerance}`;
  return plotOptions(frame, [
    ...axisMarks(Plot, frame, {
      xTicks,
      yTicks: differenceTicks(frame.y.domain[1]),
      xLabel: "Reading, oldest first",
      yLabel: "Prediction to reading, ΔE00",
    }),
    ...curveMarks(Plot, set, strokes),
    Plot.dot(rows(count), {
      x: points.map((_, i) => i + 1),
      y: points.map(({ miss }) => miss),
      r: px(points.map(() => 6)) as never,
      fill: ink,
      stroke: paper,
      strokeWidth: 1.5,
    }),
    Plot.ruleX(rows(1), { x: [0.5], y1: px([frame.top]), y2: px([frame.bottom]), stroke: curveEdge }),
    labelMark(Plot, [
      {
        x: frame.right - textWidth(passes),
        y: toPixel(frame.y, tolerance) - 12,
        text: passes,
      },
    ]),
  ]);
}
