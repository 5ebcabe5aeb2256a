import type { ChartOptions, ChartSize, PlotLibrary } from "./chartTypes.ts";
import { textSize } from "./chrome.ts";
import { chartOptions, frameOf, raw } from "./frame.ts";
import { textWidth } from "./labels.ts";

interface SpectralRows {
  /** nm, increasing, evenly spaced */
  wavelengths: ArrayLike<number>;
  labels: readonly string[];
  /** from and to are indices of wavelengths, each drawn as wide as its step */
  bars: readonly { row: number; from: number; to: number; fill: string }[];
  /** share of a row's height that stays free */
  gap: number;
}

/** Bars along the spectrum in rows with names; a name that is too wide keeps its end, where readings differ. */
export function spectralRows(
  Plot: PlotLibrary,
  { wavelengths, labels, bars, gap }: SpectralRows,
  size: ChartSize,
): ChartOptions {
  const last = wavelengths.length - 1;
  const half = (wavelengths[last] - wavelengths[0]) / last / 2;
  const longest = Math.max(40, ...labels.map((label) => textWidth(label))) + 12;
  const left = Math.min(size.width * 0.52, longest);
  return chartOptions(Plot, frameOf(size, { top: 10, right: 14, left }), {
    x: { domain: [wavelengths[0] - half, wavelengths[last] + half], label: "Wavelength, nm" },
    y: { type: "band", domain: labels.map((_, row) => row), padding: gap, axis: null },
    marks: [
      Plot.axisY({
        label: null,
        tickSize: 0,
        tickFormat: (row: number) => labels[row],
        lineWidth: left < longest ? (left - 9) / textSize : Number.POSITIVE_INFINITY,
        textOverflow: "ellipsis-start",
      }),
      Plot.barX(bars, {
        x1: ({ from }) => wavelengths[from] - half,
        x2: ({ to }) => wavelengths[to] + half,
        y: "row",
        fill: raw(bars.map(({ fill }) => fill)),
        shapeRendering: "crispEdges",
      }),
    ],
  });
}
