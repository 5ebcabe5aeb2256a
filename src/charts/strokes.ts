import type { Mark, PlotLibrary, Stroke } from "./chartTypes.ts";
import { curveEdge, ink } from "./chrome.ts";

/** Dash patterns told apart at arm's length; "" is a full line. Flat ends, so that the gaps stay open. */
export const dashes: readonly string[] = [
  "",
  "14 5",
  "3 4",
  "14 4 3 4",
  "8 4",
  "22 5",
  "14 4 3 4 3 4",
  "3 9",
];

/** The dots of a tolerance line, and the patterns that stay clear of it. */
export const toleranceStroke: Stroke = { colour: ink, dash: "2 5", width: 2.6 };
export const lineDashes = dashes.filter((dash) => dash !== "3 4");

/** The options of one stroke, for any mark of Plot. */
export function strokeOptions({ colour, dash, width }: Stroke) {
  return {
    stroke: colour,
    strokeWidth: width,
    strokeDasharray: dash || "none",
    strokeLinecap: "butt",
  } as const;
}

/** One curve. Colours get an edge under them, so that a white curve shows on light paper and a black one on dark paper. */
export function curveMarks(
  Plot: PlotLibrary,
  { x, y }: { x: ArrayLike<number>; y: ArrayLike<number> },
  stroke: Stroke,
): Mark[] {
  const places = Array.from(x);
  const line = (stroke: Stroke) => Plot.lineY(y, { x: places, ...strokeOptions(stroke) });
  return stroke.colour === ink
    ? [line({ ...stroke, width: stroke.width + 0.8 })]
    : [line({ ...stroke, colour: curveEdge, width: stroke.width + 1.6 }), line(stroke)];
}

/** A difference that passes, as a line across the chart. */
export function toleranceMark(Plot: PlotLibrary, tolerance: number): Mark {
  return Plot.ruleY([tolerance], strokeOptions(toleranceStroke));
}
