import type { Mark, PlotLibrary } from "./chartTypes.ts";
import { ink, paper, rowHeight } from "./chrome.ts";
import type { Frame } from "./frame.ts";
import { textWidth } from "./labels.ts";
import { strokeOptions } from "./strokes.ts";

/** An upright line with words beside its upper end. */
export interface Flag {
  x: number;
  label: string;
  /** the place that is set now: drawn full and heavy, its words bold */
  now?: boolean;
}

type Domain = readonly [number, number];

/** Room that so many flags take above the plot area, px. */
export const flagRoom = (flags: readonly unknown[]) => flags.length * rowHeight;

/** Words on a halo of paper, at the right of a place, or at its left. */
const beside = (right: boolean, gap: number, bold: boolean) =>
  ({
    textAnchor: right ? "start" : "end",
    dx: right ? gap : -gap,
    fill: ink,
    stroke: paper,
    strokeWidth: 6,
    fontWeight: bold ? "bold" : "normal",
  }) as const;

/**
 * Flags in rows of their own above the plot area. Their words stand at the right where there is room and no line of an
 * upper flag would cross them.
 *
 * @param reach how far the heavy line goes on below the plot area, px
 */
export function flagMarks(
  Plot: PlotLibrary,
  frame: Frame,
  [from, to]: Domain,
  flags: readonly Flag[],
  reach = 0,
): Mark[] {
  const place = (x: number) => ((x - from) / (to - from)) * frame.width;
  const uppers: number[] = [];
  return flags.flatMap(({ x, label, now = false }, row) => {
    const dy = (row - flags.length + 0.5) * rowHeight - 2;
    const [at, width] = [place(x), textWidth(label, now) + 8];
    const fits = [at + width <= frame.width + frame.margins.right, at - width >= -frame.margins.left];
    const crossed = [
      uppers.some((line) => line >= at && line < at + width),
      uppers.some((line) => line <= at && line > at - width),
    ];
    uppers.push(at);
    const right = fits[0] && !(crossed[0] && fits[1] && !crossed[1]);
    return [
      Plot.ruleX([x], {
        ...strokeOptions({ colour: ink, dash: now ? "" : "8 4", width: now ? 3.4 : 2.4 }),
        insetTop: dy - 8,
        insetBottom: now ? -reach : 0,
      }),
      Plot.text([label], { x: [x], frameAnchor: "top", lineAnchor: "middle", dy, ...beside(right, 6, now) }),
    ];
  });
}

/**
 * Rings about places with words beside them, which stand out from any grey. Words that would lie on those before stand
 * higher or lower.
 */
export function placeMarks(
  Plot: PlotLibrary,
  frame: Frame,
  domain: { x: Domain; y: Domain },
  places: readonly { x: number; y: number; text: string }[],
): Mark[] {
  const ring = { x: "x", y: "y", r: 7 } as const;
  const share = ([from, to]: Domain, value: number) => (value - from) / (to - from);
  const taken: { left: number; right: number; y: number }[] = [];
  const words = places.map(({ x, y, text }) => {
    const [left, top] = [share(domain.x, x) * frame.width, (1 - share(domain.y, y)) * frame.height];
    const width = textWidth(text, true) + 20;
    const right = left + width <= frame.width + frame.margins.right;
    const span = right ? { left, right: left + width } : { left: left - width, right: left };
    const over = taken.find(
      (other) => Math.abs(other.y - top) < rowHeight && other.left < span.right && span.left < other.right,
    );
    const up = over !== undefined && (top <= over.y ? top > rowHeight : top > frame.height - rowHeight);
    const dy = over === undefined ? 0 : over.y - top + (up ? -rowHeight : rowHeight);
    taken.push({ ...span, y: top + dy });
    return Plot.text([text], { x: [x], y: [y], dy, ...beside(right, 16, true) });
  });
  return [
    Plot.dot(places, { ...ring, stroke: "#ffffff", strokeWidth: 5 }),
    Plot.dot(places, { ...ring, stroke: "#000000", strokeWidth: 2.5 }),
    ...words,
  ];
}
