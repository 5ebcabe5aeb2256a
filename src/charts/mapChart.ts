import type { ChartSize, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { ink } from "./chrome.ts";
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
import { textWidth } from "./labels.ts";
import { roundTicks } from "./ticks.ts";

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
export function mapChart(Plot: PlotLibrary, data: MapData, size: ChartSize): PlotOptions {
  const { x, y, values, current, level } = data;
  const [nx, ny] = [x.length, y.length];
  if (nx < 2 || ny < 2) throw new RangeError(`map of ${nx} × ${ny}: at least 2 × 2 needed`);
  if (values.length !== nx * ny) throw new RangeError(`${values.length} values for a map of ${nx} × ${ny}`);
  const finite = Array.from(values).filter(Number.isFinite);
  const least = Math.min(...finite);
  const most = Math.max(...finite);
  const dx = (x[nx - 1] - x[0]) / (nx - 1) / 2;
  const dy = (y[ny - 1] - y[0]) / (ny - 1) / 2;
  const frame = frameOf(
    size,
    { top: 34, right: 18, bottom: 50, left: 62 },
    { domain: data.cells ? [x[0] - dx, x[nx - 1] + dx] : [x[0], x[nx - 1]] },
    { domain: data.cells ? [y[0] - dy, y[ny - 1] + dy] : [y[0], y[ny - 1]] },
  );
  const levels = contourLevels(least, most, level);
  const grey = (value: number) => {
    const t = most > least ? (Math.min(most, value) - least) / (most - least) : 0;
    const tone = Math.round(70 + 170 * Math.sqrt(t));
    return `rgb(${tone},${tone},${tone})`;
  };
  const contours = {
    width: nx,
    height: ny,
    // Contours take each value for the middle of a field.
    x1: x[0] - dx,
    x2: x[nx - 1] + dx,
    y1: y[0] - dy,
    y2: y[ny - 1] + dy,
    thresholds: [least - 1e-9, ...levels],
  };
  const list = Array.from(values);
  let best = -1;
  list.forEach((value, i) => {
    if (Number.isFinite(value) && (best < 0 || value < list[best])) best = i;
  });
  const fields = () =>
    Plot.rect(rows(nx * ny), {
      x1: list.map((_, i) => x[i % nx] - dx),
      x2: list.map((_, i) => x[i % nx] + dx),
      y1: list.map((_, i) => y[Math.floor(i / nx)] - dy),
      y2: list.map((_, i) => y[Math.floor(i / nx)] + dy),
      fill: list.map((value) => (Number.isFinite(value) ? value : null)) as number[],
      shapeRendering: "crispEdges",
    });
  /** Fields that pass carry a light frame, as the heavy line does among contours. */
  const passing = level === undefined ? [] : list.flatMap((value, i) => (value <= level ? [i] : []));
  const marks = [
    data.cells
      ? fields()
      : Plot.contour(list, { ...contours, fill: (value: number) => value, clip: true } as never),
    ...(data.cells && passing.length > 0
      ? [
          Plot.dot(rows(passing.length), {
            x: passing.map((i) => x[i % nx]),
            y: passing.map((i) => y[Math.floor(i / nx)]),
            r: 4,
            fill: "#ffffff",
          }),
        ]
      : []),
    ...(!data.cells && level !== undefined && level > least && level < most
      ? [
          Plot.contour(list, {
            ...contours,
            thresholds: [level],
            stroke: ink,
            strokeWidth: 3,
            fill: "none",
          } as never),
        ]
      : []),
    ...axisMarks(Plot, frame, {
      xTicks: roundTicks(x[0], x[nx - 1], Math.max(2, Math.round((frame.right - frame.left) / 90))),
      yTicks: roundTicks(y[0], y[ny - 1], Math.max(2, Math.round((frame.bottom - frame.top) / 60))),
      xLabel: data.xLabel,
      yLabel: data.yLabel,
    }),
    ...(best >= 0
      ? [
          cross(
            Plot,
            frame,
            toPixel(frame.x, x[best % nx]),
            toPixel(frame.y, y[Math.floor(best / nx)]),
            `least ${list[best].toFixed(2)}`,
          ),
        ]
      : []
    ).flat(),
    ...(current ? cross(Plot, frame, toPixel(frame.x, current.x), toPixel(frame.y, current.y), "now") : []),
  ];
  const options = plotOptions(frame, marks);
  return { ...options, color: { type: "threshold", domain: levels, range: [least, ...levels].map(grey) } };
}

function cross(Plot: PlotLibrary, frame: Frame, x: number, y: number, text: string) {
  // On the side with more room, so that the words never leave the map.
  const width = textWidth(text, true);
  const label = { x: x + 20 + width < frame.right ? x + 16 : x - 16 - width, y, text };
  return [
    Plot.dot(rows(1), { x: px([x]), y: px([y]), r: 7, stroke: "#ffffff", strokeWidth: 5 }),
    Plot.dot(rows(1), { x: px([x]), y: px([y]), r: 7, stroke: "#000000", strokeWidth: 2.5 }),
    plateMark(Plot, [label], { bold: true }),
    labelMark(Plot, [label], "bold"),
  ];
}

function contourLevels(least: number, most: number, level: number | undefined): number[] {
  const span = most - least;
  const levels = Array.from({ length: 9 }, (_, k) => least + span * ((k + 1) / 10) ** 1.6);
  return level !== undefined && level > least && level < most
    ? [...levels, level].sort((a, b) => a - b)
    : levels;
}
