import type { ChartSize, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { ink, rowHeight } from "./chrome.ts";
import { curveLabelMarks, labelRoom } from "./curveLabels.ts";
import { axisMarks, centredStart, frameOf, plotOptions, type Tick, toPixel } from "./frame.ts";
import { curveMarks, curveSet, lineDashes, type Stroke, toleranceStroke } from "./strokes.ts";
import { differenceTicks, differenceTop } from "./ticks.ts";

export interface CoatsSeries {
  label: string;
  /** colour difference after 0, 1, 2 … coats */
  deltaE: readonly number[];
  /** CSS colour of the line; neutral ink when left out */
  colour?: string;
}

export interface CoatsData {
  series: readonly CoatsSeries[];
  /** difference that passes */
  tolerance: number;
  /** number of coats in the plan */
  planned: number;
  /** name of the difference axis */
  yLabel?: string;
}

/**
 * Colour difference against the number of coats, one line for each part, with the tolerance and the planned number.
 * The difference axis is widened near zero, where the decision falls.
 *
 * @throws RangeError for a series without values or a plan that is no number
 */
export function coatsChart(Plot: PlotLibrary, data: CoatsData, size: ChartSize): PlotOptions {
  const { series, tolerance, planned } = data;
  for (const { label, deltaE } of series) {
    if (deltaE.length === 0) throw new RangeError(`series “${label}”: no values given, at least 1 needed`);
  }
  if (!(Number.isFinite(planned) && planned >= 0)) {
    throw new RangeError(`planned: ${planned} coats given, a number of at least 0 needed`);
  }
  const coats = Math.max(1, Math.ceil(planned), ...series.map((one) => one.deltaE.length - 1));
  const toleranceText = `tolerance ${tolerance}`;
  const strokes: Stroke[] = series.map((one, i) => ({
    colour: one.colour ?? ink,
    dash: lineDashes[i % lineDashes.length],
    width: 2.8,
  }));
  const room = labelRoom([...series.map((one) => one.label), toleranceText], size);
  const finite = series.flatMap((one) => one.deltaE.filter(Number.isFinite));
  const frame = frameOf(
    size,
    { top: room.top + 32 + rowHeight, right: room.right, bottom: 50, left: 42 },
    { domain: [0, coats] },
    { type: "sqrt", domain: [0, differenceTop(Math.max(tolerance, ...finite))] },
  );
  const plannedText = `planned ${planned}`;
  const plannedX = centredStart(plannedText, toPixel(frame.x, planned), frame.left, frame.right + 14);
  const set = curveSet(series.map((one) => ({ x: one.deltaE.map((_, i) => i), y: one.deltaE })));
  const ends = series.map(({ label, deltaE }) => {
    const last = deltaE.findLastIndex(Number.isFinite);
    return { label, x: toPixel(frame.x, Math.max(0, last)), y: toPixel(frame.y, deltaE[last] ?? 0) };
  });
  const toleranceY = toPixel(frame.y, tolerance);
  ends.push({ label: toleranceText, x: frame.right, y: toleranceY });
  return plotOptions(frame, [
    ...axisMarks(Plot, frame, {
      xTicks: coatTicks(coats, frame.right - frame.left),
      yTicks: differenceTicks(frame.y.domain[1]),
      xLabel: "Coats",
      yLabel: data.yLabel ?? "Colour difference ΔE00",
      yLabelAt: room.top + 16,
    }),
    ...curveMarks(Plot, set, strokes),
    ...curveLabelMarks(Plot, frame, room, ends, [...strokes, toleranceStroke], {
      lines: [
        { x1: frame.left, y1: toleranceY, x2: frame.right, y2: toleranceY, stroke: toleranceStroke },
        {
          x1: toPixel(frame.x, planned),
          y1: frame.top - 4,
          x2: toPixel(frame.x, planned),
          y2: frame.bottom,
          stroke: { colour: ink, dash: "", width: 3 },
        },
      ],
      labels: [{ x: plannedX, y: frame.top - 14, text: plannedText, bold: true }],
    }),
  ]);
}

function coatTicks(coats: number, room: number): Tick[] {
  const step = Math.max(1, Math.ceil((coats * 30) / room));
  const ticks: Tick[] = [];
  for (let at = 0; at <= coats; at += step) ticks.push({ at, text: `${at}` });
  return ticks;
}
