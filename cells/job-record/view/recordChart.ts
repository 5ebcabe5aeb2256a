import type { ChartOptions, ChartSize, PlotLibrary } from "../../../src/charts/chartTypes.ts";
import { ink, paper } from "../../../src/charts/chrome.ts";
import { chartOptions, differenceAxis, frameOf } from "../../../src/charts/frame.ts";
import { curveMarks, toleranceMark, toleranceStroke } from "../../../src/charts/strokes.ts";

interface RecordPoint {
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
  { points, tolerance }: { readonly points: readonly RecordPoint[]; readonly tolerance: number },
  size: ChartSize,
): ChartOptions {
  if (points.length === 0) throw new RangeError("points: none given, at least 1 needed");
  const count = points.length;
  const frame = frameOf(size);
  const numbers = points.map((_, i) => i + 1);
  const typical = points.map((point) => point.typical);
  // One reading has a median too, drawn as a short line.
  const median = count === 1 ? { x: [0.7, 1.3], y: [typical[0], typical[0]] } : { x: numbers, y: typical };
  const stroke = { colour: ink, dash: "14 5", width: 2.4 };
  return chartOptions(Plot, frame, {
    x: {
      domain: [0.5, count + 0.5],
      ticks: Math.max(1, Math.min(count - 1, frame.width / 34)),
      label: "Reading, oldest first",
    },
    y: differenceAxis(
      "Prediction to reading, ΔE00",
      Math.max(tolerance, ...points.map(({ miss }) => miss)),
      frame.height,
    ),
    key: [
      { label: "reading", sign: "full" },
      { label: "median so far", stroke },
      { label: `passes ${tolerance}`, stroke: toleranceStroke },
    ],
    marks: [
      ...curveMarks(Plot, median, stroke),
      toleranceMark(Plot, tolerance),
      Plot.dot(points, { x: numbers, y: "miss", r: 6, fill: ink, stroke: paper, strokeWidth: 1.5 }),
    ],
  });
}
