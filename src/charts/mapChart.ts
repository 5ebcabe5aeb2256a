import type { ChartOptions, ChartSize, Mark, PlotLibrary } from "./chartTypes.ts";
import { ink } from "./chrome.ts";
import { placeMarks } from "./flags.ts";
import { chartOptions, frameOf } from "./frame.ts";

export interface MapData {
  x: ArrayLike<number>;
  y: ArrayLike<number>;
  /** rows of x for each y; not finite where there is nothing */
  values: ArrayLike<number>;
  xLabel: string;
  yLabel: string;
  /** the place now set */
  current?: { x: number; y: number };
  /** drawn as fields, one for each point, where a value between two points means nothing */
  cells?: boolean;
  /** a line drawn heavier, such as the tolerance */
  level?: number;
}

/**
 * A result over two settings: filled contours in greys (dark is small), with the level that matters drawn as a heavy line.
 *
 * @throws RangeError when the values do not fill the map
 */
export function mapChart(Plot: PlotLibrary, data: MapData, size: ChartSize): ChartOptions {
  const { x, y, values, current, level } = data;
  const [nx, ny] = [x.length, y.length];
  if (nx < 2 || ny < 2) throw new RangeError(`map of ${nx} × ${ny}: at least 2 × 2 needed`);
  if (values.length !== nx * ny) throw new RangeError(`${values.length} values for a map of ${nx} × ${ny}`);
  const list = Array.from(values, (value) => (Number.isFinite(value) ? value : Number.NaN));
  const at = (i: number) => ({ x: x[i % nx], y: y[Math.floor(i / nx)] });
  const finite = list.filter(Number.isFinite);
  const [least, most] = [Math.min(...finite), Math.max(...finite)];
  const [dx, dy] = [(x[nx - 1] - x[0]) / (nx - 1) / 2, (y[ny - 1] - y[0]) / (ny - 1) / 2];
  // Fields, and the contours too, take each value for the middle of a field.
  const edges = { x1: x[0] - dx, x2: x[nx - 1] + dx, y1: y[0] - dy, y2: y[ny - 1] + dy };
  const domain: { x: [number, number]; y: [number, number] } = data.cells
    ? { x: [edges.x1, edges.x2], y: [edges.y1, edges.y2] }
    : { x: [x[0], x[nx - 1]], y: [y[0], y[ny - 1]] };
  const frame = frameOf(size, { left: 66 });
  const levels = contourLevels(least, most, level);
  const grey = (value: number) => {
    const t = most > least ? (Math.min(most, value) - least) / (most - least) : 0;
    const tone = Math.round(70 + 170 * Math.sqrt(t));
    return `rgb(${tone},${tone},${tone})`;
  };
  const best = list.indexOf(least);
  const options = chartOptions(Plot, frame, {
    x: { domain: domain.x, tickSpacing: 90, label: data.xLabel },
    y: { domain: domain.y, tickSpacing: 60, label: data.yLabel },
    marks: [
      ...(data.cells ? fields() : contours()),
      ...placeMarks(Plot, frame, domain, [
        ...(best >= 0 ? [{ ...at(best), text: `least ${least.toFixed(2)}` }] : []),
        ...(current ? [{ ...current, text: "now" }] : []),
      ]),
    ],
  });
  return { ...options, color: { type: "threshold", domain: levels, range: [least, ...levels].map(grey) } };

  /** Fields that pass carry a light dot, as the heavy line does among contours. */
  function fields(): Mark[] {
    const middle = { x: (_: number, i: number) => at(i).x, y: (_: number, i: number) => at(i).y };
    return [
      Plot.rect(list, {
        x1: (_, i) => at(i).x - dx,
        x2: (_, i) => at(i).x + dx,
        y1: (_, i) => at(i).y - dy,
        y2: (_, i) => at(i).y + dy,
        fill: list,
        shapeRendering: "crispEdges",
      }),
      Plot.dot(list, {
        ...middle,
        filter: (value) => level !== undefined && value <= level,
        r: 4,
        fill: "#ffffff",
      }),
    ];
  }

  function contours(): Mark[] {
    const options = { width: nx, height: ny, ...edges };
    const crosses = level !== undefined && level > least && level < most;
    return [
      Plot.contour(list, {
        ...options,
        thresholds: [least - 1e-9, ...levels],
        fill: (value: number) => value,
        clip: true,
      }),
      ...(crosses
        ? [Plot.contour(list, { ...options, thresholds: [level], stroke: ink, strokeWidth: 3, fill: "none" })]
        : []),
    ];
  }
}

function contourLevels(least: number, most: number, level: number | undefined): number[] {
  const span = most - least;
  const levels = Array.from({ length: 9 }, (_, k) => least + span * ((k + 1) / 10) ** 1.6);
  return level !== undefined && level > least && level < most
    ? [...levels, level].sort((a, b) => a - b)
    : levels;
}
