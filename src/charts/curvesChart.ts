import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { ink, inkSoft } from "./chrome.ts";
import { curveLabelMarks, labelRoom } from "./curveLabels.ts";
import { type Axis, axisMarks, frameOf, plotOptions, rows, toPixel } from "./frame.ts";
import { curveMarks, curveSet, dashes, type Stroke } from "./strokes.ts";
import { decadeTicks, roundTicks } from "./ticks.ts";

export interface PlainCurve {
  label: string;
  /** one for each x; a gap where it is not finite, or not above 0 on a logarithmic axis */
  y: ArrayLike<number>;
  /** CSS colour of the line; neutral ink when left out */
  colour?: string;
  emphasis?: boolean;
  /** its uncertainty, drawn as a band behind it */
  band?: { low: ArrayLike<number>; high: ArrayLike<number> };
}

export interface CurvesData {
  /** increasing, at least two */
  x: ArrayLike<number>;
  xLabel: string;
  yLabel: string;
  /** y on a logarithmic axis */
  logarithmic?: boolean;
  curves: readonly PlainCurve[];
}

/** Never more than this many powers of ten, counted from the largest value down. */
const mostDecades = 5;

/**
 * Any curves over one common x, such as absorption and scattering against wavelength.
 *
 * @throws RangeError for fewer than two x values or a curve of another length
 */
export function curvesChart(Plot: PlotLibrary, data: CurvesData, size: ChartSize): PlotOptions {
  const { x, curves, logarithmic = false } = data;
  if (x.length < 2) throw new RangeError(`x: ${x.length} values given, at least 2 needed`);
  for (const { label, y } of curves) {
    if (y.length !== x.length)
      throw new RangeError(`curve “${label}”: ${y.length} values for ${x.length} places`);
  }
  const room = labelRoom(
    curves.map((curve) => curve.label),
    size,
  );
  const frame = frameOf(
    size,
    { top: room.top + 32, right: room.right, bottom: 50, left: 62 },
    { domain: [x[0], x[x.length - 1]] },
    logarithmic ? logarithmicAxis(curves) : linearAxis(curves),
  );
  const [low, high] = frame.y.domain;
  const shown = curves.map((curve) => ({
    x,
    // A value under the axis is drawn on its lower edge; zero and less have no place on a logarithmic axis.
    y: logarithmic ? Array.from(curve.y, (y) => (y > 0 ? Math.max(y, low) : Number.NaN)) : curve.y,
  }));
  const strokes: Stroke[] = curves.map((curve, i) => ({
    colour: curve.colour ?? ink,
    dash: dashes[i % dashes.length],
    width: curve.emphasis ? 4 : 2.6,
  }));
  const ends = curves.map(({ label, emphasis }, i) => {
    const at = lastFinite(shown[i].y);
    const y = at < 0 ? low : shown[i].y[at];
    return { label, x: toPixel(frame.x, x[Math.max(0, at)]), y: toPixel(frame.y, y), bold: emphasis };
  });
  const bands = curves.flatMap(({ band }) =>
    band ? [bandMark(Plot, x, band, logarithmic ? low : undefined, high)] : [],
  );
  return plotOptions(frame, [
    ...bands,
    ...axisMarks(Plot, frame, {
      xTicks: roundTicks(x[0], x[x.length - 1], (frame.right - frame.left) / 60),
      yTicks: logarithmic ? decadeTicks(low, high) : roundTicks(low, high, (frame.bottom - frame.top) / 36),
      xLabel: data.xLabel,
      yLabel: data.yLabel,
    }),
    ...curveMarks(Plot, curveSet(shown), strokes),
    ...curveLabelMarks(Plot, frame, room, ends, strokes),
  ]);
}

function bandMark(
  Plot: PlotLibrary,
  x: ArrayLike<number>,
  band: { low: ArrayLike<number>; high: ArrayLike<number> },
  floor: number | undefined,
  ceiling: number,
): Mark {
  const kept = (values: ArrayLike<number>) =>
    Array.from(values, (value) => Math.min(ceiling, floor === undefined ? value : Math.max(floor, value)));
  return Plot.areaY(rows(x.length), {
    x: Array.from(x),
    y1: kept(band.low),
    y2: kept(band.high),
    fill: inkSoft,
    fillOpacity: 0.28,
  });
}

function linearAxis(curves: readonly PlainCurve[]): { type: Axis["type"]; domain: [number, number] } {
  const values = curves.flatMap((curve) => Array.from(curve.y).filter(Number.isFinite));
  const low = Math.min(0, ...values);
  const high = Math.max(low + 1e-9, ...values);
  const step = 10 ** Math.floor(Math.log10(high - low)) / 2;
  return { type: "linear", domain: [Math.floor(low / step) * step, Math.ceil(high / step) * step] };
}

function logarithmicAxis(curves: readonly PlainCurve[]): { type: Axis["type"]; domain: [number, number] } {
  const values = curves.flatMap((curve) => Array.from(curve.y).filter((y) => y > 0 && Number.isFinite(y)));
  if (values.length === 0) return { type: "log", domain: [0.1, 1] };
  const top = Math.ceil(Math.log10(Math.max(...values)) - 1e-9);
  const bottom = Math.floor(Math.log10(Math.min(...values)) + 1e-9);
  return { type: "log", domain: [10 ** Math.max(Math.min(bottom, top - 1), top - mostDecades), 10 ** top] };
}

function lastFinite(values: ArrayLike<number>): number {
  for (let i = values.length - 1; i >= 0; i--) if (Number.isFinite(values[i])) return i;
  return -1;
}
