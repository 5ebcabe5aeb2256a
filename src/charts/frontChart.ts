import type { ChartOptions, ChartSize, PlotLibrary } from "./chartTypes.ts";
import { bandFill, ink, paper, rowHeight } from "./chrome.ts";
import { chartOptions, differenceAxis, type Frame, frameOf, raw } from "./frame.ts";
import { textWidth } from "./labels.ts";
import { toleranceMark, toleranceStroke } from "./strokes.ts";

interface FrontPoint {
  x: number;
  difference: number;
  /** keeps every tolerance */
  passes: boolean;
  /** short words beside the point */
  label?: string;
}

interface FrontData {
  /** from the least to the greatest x */
  points: readonly FrontPoint[];
  /** index of the point that is looked at */
  chosen?: number;
  /** where things stand now */
  current?: { x: number; difference: number };
  tolerance: number;
  xLabel: string;
  yLabel: string;
}

const radius = 7;

/**
 * What a smaller difference costs: one point for each way of doing it, joined by steps. Full points pass, hollow ones do not;
 * the one looked at wears a ring, and a cross shows where things stand now.
 *
 * @throws RangeError without points
 */
export function frontChart(Plot: PlotLibrary, data: FrontData, size: ChartSize): ChartOptions {
  const { points, chosen, current, tolerance } = data;
  if (points.length === 0) throw new RangeError("points: none given, at least 1 needed");
  const now = current ? [current] : [];
  const xs = [...points, ...now].map(({ x }) => x);
  const [least, greatest] = [Math.min(...xs), Math.max(...xs)];
  const pad = Math.max((greatest - least) * 0.06, greatest * 0.02, 1e-9);
  const frame = frameOf(size, { top: 2 * rowHeight + 12 });
  const largest = Math.max(tolerance, ...[...points, ...now].map(({ difference }) => difference));
  const x = { domain: [Math.max(0, least - pad), greatest + pad] as const, label: data.xLabel };
  const y = differenceAxis(data.yLabel, largest, frame.height);
  const place = { x: "x", y: "difference" } as const;
  const labels = pointLabels(points, frame, (point) => ({
    x: frame.width * ((point.x - x.domain[0]) / (x.domain[1] - x.domain[0])),
    y: frame.height * (1 - Math.sqrt(point.difference / y.domain[1])),
  }));
  return chartOptions(Plot, frame, {
    x: { ...x, tickSpacing: 90 },
    y,
    key: [
      { label: "passes", sign: "full" },
      { label: "does not", sign: "hollow" },
      { label: `tolerance ${tolerance}`, stroke: toleranceStroke },
      ...(current ? [{ label: "as it is now", sign: "cross" } as const] : []),
    ],
    marks: [
      Plot.line(points, { ...place, curve: "step-after", stroke: ink, strokeWidth: 1.6 }),
      toleranceMark(Plot, tolerance),
      Plot.dot(chosen === undefined ? [] : [points[chosen]], {
        ...place,
        r: radius + 6,
        fill: bandFill,
        stroke: ink,
        strokeWidth: 2.5,
      }),
      Plot.dot(points, {
        ...place,
        r: radius,
        fill: raw(points.map(({ passes }) => (passes ? ink : paper))),
        stroke: ink,
        strokeWidth: 2,
      }),
      Plot.dot(now, { ...place, r: radius + 2, symbol: "times", stroke: ink, strokeWidth: 3 }),
      ...labels.map(({ point, dx, dy, textAnchor }) =>
        Plot.text([point], {
          ...place,
          text: "label",
          dx,
          dy,
          textAnchor,
          fill: ink,
          stroke: paper,
          strokeWidth: 5,
        }),
      ),
    ],
  });
}

type Place = (point: FrontPoint) => { x: number; y: number };

/** Words beside the points where they touch neither each other nor the edges; a point without room goes without. */
function pointLabels(points: readonly FrontPoint[], { width: room, height, margins }: Frame, place: Place) {
  const taken: { left: number; right: number; y: number }[] = [];
  return points.flatMap((point) => {
    if (!point.label) return [];
    const width = textWidth(point.label);
    const { x, y } = place(point);
    for (const [textAnchor, dx, dy, left] of [
      ["start", radius + 5, -rowHeight * 0.8, 0],
      ["end", -radius - 5, -rowHeight * 0.8, -width],
      ["middle", 0, -rowHeight * 1.3, -width / 2],
      ["start", radius + 5, rowHeight * 0.8, 0],
      ["end", -radius - 5, rowHeight * 0.8, -width],
    ] as const) {
      const spot = { left: x + dx + left, right: x + dx + left + width, y: y + dy };
      const inside =
        spot.left >= 4 &&
        spot.right <= room + margins.right - 2 &&
        spot.y >= -rowHeight &&
        spot.y <= height - rowHeight / 2;
      const free = !taken.some(
        (other) =>
          Math.abs(other.y - spot.y) < rowHeight &&
          other.left < spot.right + 6 &&
          spot.left < other.right + 6,
      );
      if (!inside || !free) continue;
      taken.push(spot);
      return [{ point, dx, dy, textAnchor }];
    }
    return [];
  });
}
