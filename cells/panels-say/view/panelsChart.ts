import type { ChartOptions, ChartSize, KeyEntry, PlotLibrary } from "../../../src/charts/chartTypes.ts";
import { ink, paper } from "../../../src/charts/chrome.ts";
import { chartOptions, differenceAxis, frameOf } from "../../../src/charts/frame.ts";
import { curveMarks } from "../../../src/charts/strokes.ts";

interface PanelPoint {
  /** ΔE00 to the prediction from all others, and within which nine of ten should lie. */
  readonly off: number;
  readonly band: number;
  readonly contradicts: boolean;
}

interface PanelsChart {
  /** In the order in which they came in. */
  readonly points: readonly PanelPoint[];
  /** Median error of the panels that were yet to come, after so many. */
  readonly errors: readonly { readonly panels: number; readonly median: number }[];
}

/**
 * Each panel beside its prediction from all others, as a dot below a dash up to which nine of ten should lie; and as a line
 * how the error of the shelf fell as panels came in.
 * @throws RangeError without panels
 */
export function panelsChart(
  Plot: PlotLibrary,
  { points, errors }: PanelsChart,
  size: ChartSize,
): ChartOptions {
  const count = points.length;
  if (count === 0) throw new RangeError("points: none given, at least 1 needed");
  const frame = frameOf(size);
  const numbers = points.map((_, i) => i + 1);
  const stroke = { colour: ink, dash: "14 5", width: 2.4 };
  const fall = {
    x: errors.map(({ panels }) => panels + 0.5),
    y: errors.map(({ median }) => median),
  };
  const odd = points.flatMap(({ contradicts }, i) => (contradicts ? [i] : []));
  return chartOptions(Plot, frame, {
    x: {
      domain: [0.4, count + 0.6],
      ticks: Math.max(1, Math.min(count - 1, frame.width / 34)),
      label: "Panel, oldest first",
    },
    y: differenceAxis(
      "ΔE00 to what all others say",
      Math.max(...points.flatMap(({ off, band }) => [off, band]), ...fall.y),
      frame.height,
    ),
    key: keyOf(odd.length > 0, errors.length > 1 ? stroke : undefined),
    marks: [
      ...(errors.length > 1 ? curveMarks(Plot, fall, stroke) : []),
      Plot.ruleY(points, {
        x1: (_: unknown, i: number) => numbers[i] - 0.32,
        x2: (_: unknown, i: number) => numbers[i] + 0.32,
        y: "band",
        stroke: ink,
        strokeWidth: 1.6,
      }),
      Plot.dot(points, {
        x: numbers,
        y: "off",
        r: 6,
        fill: (one: PanelPoint) => (one.contradicts ? paper : ink),
        stroke: (one: PanelPoint) => (one.contradicts ? ink : paper),
        strokeWidth: (one: PanelPoint) => (one.contradicts ? 3 : 1.5),
      }),
    ],
  });
}

function keyOf(
  isAnyOdd: boolean,
  stroke: { colour: string; dash: string; width: number } | undefined,
): KeyEntry[] {
  const dash = { colour: ink, dash: "none", width: 1.6 };
  const key: KeyEntry[] = [{ label: "panel", sign: "full" }];
  if (isAnyOdd) key.push({ label: "contradicts the rest", sign: "hollow" });
  key.push({ label: "nine of ten lie below the dash", stroke: dash });
  if (stroke) key.push({ label: "error on panels yet to come", stroke });
  return key;
}
