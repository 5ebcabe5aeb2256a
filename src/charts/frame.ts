import type { ScaleOptions } from "@observablehq/plot";
import type { ChartOptions, ChartSize, KeyEntry, Mark, PlotLibrary } from "./chartTypes.ts";
import { hairline, ink, textSize } from "./chrome.ts";

/** Least height of the plot area, px. */
export const leastPlotHeight = 150;
const leastCompactHeight = 30;
/** What the names of the axes take of the room above and below, px. */
const nameRoom = { top: 22, bottom: 24 };

/** Room around the plot area for ticks and the names of the axes, px. */
const usual = { top: 32, right: 18, bottom: 50, left: 46 };
type Margins = typeof usual;

export interface Frame {
  size: ChartSize;
  margins: Margins;
  /** size of the plot area, px */
  width: number;
  height: number;
}

/** A chart's plot area: the size asked for less the margins, never flatter than `leastPlotHeight`, unless it is compact. */
export function frameOf(size: ChartSize, margins: Partial<Margins> = {}): Frame {
  const all = { ...usual, ...margins };
  const { compact } = size;
  if (compact) {
    all.top -= nameRoom.top;
    all.bottom -= nameRoom.bottom;
  }
  const least = compact ? leastCompactHeight : leastPlotHeight;
  const height = Math.max(least, size.height - all.top - all.bottom);
  return {
    size: { width: size.width, height: height + all.top + all.bottom, ...(compact ? { compact } : {}) },
    margins: all,
    width: size.width - all.left - all.right,
    height,
  };
}

export type Axis = ScaleOptions & { domain: readonly [number, number] };

/** A chart with Plot's own axes: ticks below and at the left, hairlines across, names under and above. */
export function chartOptions(
  Plot: PlotLibrary,
  { size, margins }: Frame,
  { x, y, key, marks }: { x: Axis; y: ScaleOptions; key?: readonly KeyEntry[]; marks: Mark[] },
): ChartOptions {
  const { ticks, tickSpacing } = y;
  const nameless = size.compact ? { label: null } : {};
  return {
    width: size.width,
    height: size.height,
    marginTop: margins.top,
    marginRight: margins.right,
    marginBottom: margins.bottom,
    marginLeft: margins.left,
    x: { labelAnchor: "center", labelArrow: "none", labelOffset: 42, line: true, ...x, ...nameless },
    y: { labelAnchor: "top", labelArrow: "none", tickSize: 0, ...y, ...nameless },
    style: { fontSize: `${textSize}px`, fontFamily: "inherit", color: ink, background: "transparent" },
    key,
    marks: [
      ...(y.axis === null ? [] : [Plot.gridY({ ticks, tickSpacing, stroke: hairline, strokeOpacity: 1 })]),
      ...marks,
    ],
  };
}

/** A channel of CSS colours, past Plot's colour scale. */
export function raw<Value>(value: Value): { value: Value; scale: null } {
  return { value, scale: null };
}

/** A share written in per cent without the sign, which stands in the name of the axis. */
export function percent(share: number): string {
  return `${Math.round(share * 100)}`;
}

const stops = [0.5, 1, 2, 3, 5, 8, 12, 16, 20, 25, 30, 40, 50, 60, 80, 100, 130, 160, 200];

/** A steady top for a colour-difference axis: it moves in steps, so that a chart under a moving slider stays calm. */
export function differenceTop(largest: number): number {
  return stops.find((stop) => stop >= largest && stop >= 3) ?? Math.ceil(largest / 100) * 100;
}

/** A colour-difference axis, widened near zero, where the decision falls. */
export function differenceAxis(label: string, largest: number, height: number): Axis {
  const top = differenceTop(largest);
  const wanted =
    top <= 3 ? [0, 0.5, 1, 2, 3] : top <= 8 ? [0, 1, 2, 3, 5, 8] : [0, 1, 3, 5, 10, 20, 40, 80, 160];
  const ticks: number[] = [];
  const place = (at: number) => Math.sqrt(at / top) * height;
  for (const at of wanted) {
    const last = ticks.at(-1);
    if (at <= top && (last === undefined || place(at) - place(last) >= textSize + 2)) ticks.push(at);
  }
  return { type: "sqrt", domain: [0, top], ticks, tickFormat: String, label };
}

/** The largest finite value of some lists; 0 when there is none. */
export function largestOf(...lists: ArrayLike<number>[]): number {
  let most = 0;
  for (const list of lists)
    for (let i = 0; i < list.length; i++) if (list[i] > most && Number.isFinite(list[i])) most = list[i];
  return most;
}

/** Refuses a list of another length, naming it. @throws RangeError */
export function sameLength(name: string, list: ArrayLike<unknown>, length: number, of: string): void {
  if (list.length !== length) throw new RangeError(`${name}: ${list.length} values for ${length} ${of}`);
}
