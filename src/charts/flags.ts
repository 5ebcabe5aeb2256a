import type { Mark, PlotLibrary } from "./chartTypes.ts";
import { ink, paper, rowHeight } from "./chrome.ts";
import { strokeOptions } from "./strokes.ts";

/** An upright line with words beside its upper end. */
export interface Flag {
  x: number;
  label: string;
  /** the place that is set now: drawn full and heavy, its words bold */
  now?: boolean;
}

/** Room that so many flags take above the plot area, px. */
export const flagRoom = (flags: readonly unknown[]) => flags.length * rowHeight;

/**
 * Flags in rows of their own above the plot area, their words on the side where there is more room.
 *
 * @param reach how far the lines go on below the plot area, px
 */
export function flagMarks(
  Plot: PlotLibrary,
  flags: readonly Flag[],
  [from, to]: readonly [number, number],
  reach = 0,
): Mark[] {
  return flags.flatMap(({ x, label, now = false }, row) => {
    const dy = (row - flags.length + 0.5) * rowHeight - 2;
    const toRight = x - from < to - x;
    return [
      Plot.ruleX([x], {
        ...strokeOptions({ colour: ink, dash: now ? "" : "8 4", width: now ? 3 : 2 }),
        insetTop: dy - 8,
        insetBottom: now ? -reach : 0,
      }),
      Plot.text([label], {
        x: [x],
        frameAnchor: "top",
        lineAnchor: "middle",
        textAnchor: toRight ? "start" : "end",
        dx: toRight ? 6 : -6,
        dy,
        fontWeight: now ? "bold" : "normal",
      }),
    ];
  });
}

/** Rings about places with words beside them, which stand out from any grey. */
export function placeMarks(
  Plot: PlotLibrary,
  places: readonly { x: number; y: number; text: string; dy?: number }[],
  [from, to]: readonly [number, number],
): Mark[] {
  const ring = { x: "x", y: "y", r: 7 } as const;
  return [
    Plot.dot(places, { ...ring, stroke: "#ffffff", strokeWidth: 5 }),
    Plot.dot(places, { ...ring, stroke: "#000000", strokeWidth: 2.5 }),
    ...places.map(({ x, y, text, dy = 0 }) => {
      const toRight = x - from < to - x;
      return Plot.text([text], {
        x: [x],
        y: [y],
        textAnchor: toRight ? "start" : "end",
        dx: toRight ? 16 : -16,
        dy,
        fill: ink,
        stroke: paper,
        strokeWidth: 7,
        fontWeight: "bold",
      });
    }),
  ];
}
