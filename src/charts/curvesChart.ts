import type { ChartOptions, ChartSize, Mark, PlotLibrary, Stroke } from "./chartTypes.ts";
import { ink, inkSoft } from "./chrome.ts";
import { type Axis, chartOptions, frameOf, sameLength } from "./frame.ts";
import { curveMarks, dashes } from "./strokes.ts";

interface PlainCurve {
  label: string;
  /** one for each x; a gap where it is not finite, or not above 0 on a logarithmic axis */
  y: ArrayLike<number>;
  /** CSS colour of the line; neutral ink when left out */
  colour?: string;
  emphasis?: boolean;
  /** its uncertainty, drawn as a band behind it */
  band?: { low: ArrayLike<number>; high: ArrayLike<number> };
}

interface CurvesData {
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
export function curvesChart(Plot: PlotLibrary, data: CurvesData, size: ChartSize): ChartOptions {
  const { x, curves, logarithmic = false } = data;
  if (x.length < 2) throw new RangeError(`x: ${x.length} values given, at least 2 needed`);
  for (const { label, y } of curves) sameLength(`curve “${label}”`, y, x.length, "places");
  const axis = logarithmic ? logarithmicAxis(curves) : linearAxis(curves);
  const [low, high] = axis.domain;
  const strokes: Stroke[] = curves.map((curve, i) => ({
    colour: curve.colour ?? ink,
    dash: dashes[i % dashes.length],
    width: curve.emphasis ? 4 : 2.6,
  }));
  const kept = (values: ArrayLike<number>) =>
    Array.from(values, (value) => Math.min(high, logarithmic ? Math.max(low, value) : value));
  const bands: Mark[] = curves.flatMap(({ band }) =>
    band
      ? [
          Plot.areaY(Array.from(x), {
            x: Array.from(x),
            y1: kept(band.low),
            y2: kept(band.high),
            fill: inkSoft,
            fillOpacity: 0.28,
          }),
        ]
      : [],
  );
  // A value under the axis is drawn on its lower edge; zero and less have no place on a logarithmic axis.
  const shown = (values: ArrayLike<number>) =>
    logarithmic ? Array.from(values, (y) => (y > 0 ? Math.max(y, low) : Number.NaN)) : values;
  return chartOptions(Plot, frameOf(size, { left: 66 }), {
    x: { domain: [x[0], x[x.length - 1]], label: data.xLabel },
    y: { ...axis, label: data.yLabel },
    key: curves.map(({ label, emphasis }, i) => ({ label, stroke: strokes[i], bold: emphasis })),
    marks: [...bands, ...curves.flatMap(({ y }, i) => curveMarks(Plot, { x, y: shown(y) }, strokes[i]))],
  });
}

function linearAxis(curves: readonly PlainCurve[]): Axis {
  const values = curves.flatMap((curve) => Array.from(curve.y).filter(Number.isFinite));
  const low = Math.min(0, ...values);
  const high = Math.max(low + 1e-9, ...values);
  const step = 10 ** Math.floor(Math.log10(high - low)) / 2;
  return { type: "linear", domain: [Math.floor(low / step) * step, Math.ceil(high / step) * step] };
}

function logarithmicAxis(curves: readonly PlainCurve[]): Axis {
  const values = curves.flatMap((curve) => Array.from(curve.y).filter((y) => y > 0 && Number.isFinite(y)));
  if (values.length === 0) return { type: "log", domain: [0.1, 1] };
  const top = Math.ceil(Math.log10(Math.max(...values)) - 1e-9);
  const bottom = Math.floor(Math.log10(Math.min(...values)) + 1e-9);
  const first = Math.max(Math.min(bottom, top - 1), top - mostDecades);
  const ticks = Array.from({ length: top - first + 1 }, (_, i) => Number(`1e${first + i}`));
  return { type: "log", domain: [ticks[0], ticks[top - first]], ticks, tickFormat: String };
}
