import type { ChartOptions, ChartSize, PatternName, PlotLibrary, Stroke } from "./chartTypes.ts";
import { bandFill, ink, inkSoft } from "./chrome.ts";
import { type Flag, flagMarks, flagRoom } from "./flags.ts";
import { chartOptions, differenceAxis, frameOf, largestOf, percent, sameLength } from "./frame.ts";
import { patternDefinitions, patternFill } from "./patterns.ts";
import { curveMarks, lineDashes, toleranceMark, toleranceStroke } from "./strokes.ts";

interface RibbonCurve {
  label: string;
  x: ArrayLike<number>;
  y: ArrayLike<number>;
}

interface RibbonArea {
  label: string;
  x: ArrayLike<number>;
  low: ArrayLike<number>;
  high: ArrayLike<number>;
  /** hatched instead of plain, for a warning */
  hatched?: boolean;
}

interface RibbonData {
  curves: readonly RibbonCurve[];
  areas: readonly RibbonArea[];
  markers: readonly Flag[];
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
export function ribbonChart(Plot: PlotLibrary, data: RibbonData, size: ChartSize): ChartOptions {
  const { curves, areas, markers, tolerance, domain } = data;
  for (const { label, x, y } of curves) sameLength(`“${label}”`, y, x.length, "places");
  for (const { label, x, low, high } of areas)
    for (const list of [low, high]) sameLength(`“${label}”`, list, x.length, "places");
  const frame = frameOf(size, { top: 34 + flagRoom(markers) });
  const largest = largestOf(...curves.map(({ y }) => y), ...areas.map(({ high }) => high));
  const strokes: Stroke[] = curves.map((_, i) => ({
    colour: ink,
    dash: lineDashes[i % lineDashes.length],
    width: i === 0 ? 3 : 2.4,
  }));
  const pattern = ({ hatched }: RibbonArea): PatternName => (hatched ? "rising" : "none");
  return chartOptions(Plot, frame, {
    x: {
      domain,
      label: data.xLabel,
      ...(data.xKind === "share"
        ? { tickFormat: percent }
        : { ticks: Math.min(domain[1] - domain[0], frame.width / 34) }),
    },
    y: differenceAxis(data.yLabel, Math.max(tolerance, largest), frame.height),
    key: [
      ...curves.map(({ label }, i) => ({ label, stroke: strokes[i] })),
      ...areas.map((area) => ({
        label: area.label,
        fill: area.hatched ? "none" : bandFill,
        pattern: pattern(area),
      })),
      { label: `tolerance ${tolerance}`, stroke: toleranceStroke },
    ],
    marks: [
      patternDefinitions(areas.map(pattern)),
      ...areas.map((area) =>
        Plot.areaY(area.low, {
          x: Array.from(area.x),
          y1: Array.from(area.low),
          y2: Array.from(area.high),
          fill: area.hatched ? patternFill("rising") : bandFill,
          stroke: area.hatched ? inkSoft : "none",
        }),
      ),
      ...curves.flatMap(({ x, y }, i) => curveMarks(Plot, { x, y }, strokes[i])),
      toleranceMark(Plot, tolerance),
      ...flagMarks(Plot, frame, domain, markers),
    ],
  });
}
