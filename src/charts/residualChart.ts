import type { ChartSize, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { ink } from "./chrome.ts";
import { axisMarks, frameOf, labelMark, plotOptions, rows, toPixel } from "./frame.ts";
import { textWidth } from "./labels.ts";
import { wavelengthTicks } from "./ticks.ts";

export interface ResidualData {
  /** nm, increasing, evenly spaced */
  wavelengths: ArrayLike<number>;
  /** one row for each reading: fitted − measured, in reflectance */
  rows: readonly { label: string; values: ArrayLike<number> }[];
}

/** The residual that is drawn black or white: the largest, but never so small that noise would look loud. */
export function largestResidual(list: ResidualData["rows"]): number {
  return Math.max(0.005, ...list.flatMap(({ values }) => Array.from(values, Math.abs)));
}

/** Residuals of every reading at every wavelength: mid grey is none, dark is fitted too dark, light fitted too light. */
export function residualChart(
  Plot: PlotLibrary,
  { wavelengths, rows: list }: ResidualData,
  size: ChartSize,
): PlotOptions {
  const n = wavelengths.length;
  const step = (wavelengths[n - 1] - wavelengths[0]) / (n - 1);
  const longest = Math.min(
    size.width * 0.52,
    Math.max(40, ...list.map(({ label }) => textWidth(label))) + 10,
  );
  const frame = frameOf(
    size,
    { top: 10, right: 14, bottom: 50, left: longest },
    { domain: [wavelengths[0] - step / 2, wavelengths[n - 1] + step / 2] },
    { domain: [list.length, 0] },
  );
  const most = largestResidual(list);
  const tone = (value: number) => {
    const grey = Math.round(128 + 127 * Math.max(-1, Math.min(1, value / most)));
    return `rgb(${grey},${grey},${grey})`;
  };
  const all = list.flatMap(({ values }, row) => Array.from(values, (value, i) => ({ row, i, value })));
  return plotOptions(frame, [
    Plot.rect(rows(all.length), {
      x1: all.map(({ i }) => wavelengths[i] - step / 2),
      x2: all.map(({ i }) => wavelengths[i] + step / 2),
      y1: all.map(({ row }) => row + 0.04),
      y2: all.map(({ row }) => row + 0.96),
      fill: { value: all.map(({ value }) => tone(value)), scale: null } as never,
      shapeRendering: "crispEdges",
    }),
    ...axisMarks(Plot, frame, {
      xTicks: wavelengthTicks(wavelengths[0], wavelengths[n - 1], frame.right - frame.left),
      yTicks: [],
      xLabel: "Wavelength, nm",
      yLabel: "",
    }),
    labelMark(
      Plot,
      list.map(({ label }, row) => ({
        x: 2,
        y: toPixel(frame.y, row + 0.5),
        text: fitEnd(label, longest - 6),
      })),
    ),
    Plot.ruleY([0], { stroke: ink, strokeOpacity: 0 }),
  ]);
}

/** The label itself, or its end with an ellipsis before: labels of drawdowns differ in their ends. */
function fitEnd(label: string, width: number): string {
  if (textWidth(label) <= width) return label;
  let start = 1;
  while (start < label.length - 1 && textWidth(`…${label.slice(start)}`) > width) start++;
  return `…${label.slice(start).trimStart()}`;
}
