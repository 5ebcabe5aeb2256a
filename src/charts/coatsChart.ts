import type { ChartOptions, ChartSize, PlotLibrary, Stroke } from "./chartTypes.ts";
import { ink } from "./chrome.ts";
import { flagMarks, flagRoom } from "./flags.ts";
import { chartOptions, differenceAxis, frameOf, largestOf } from "./frame.ts";
import { curveMarks, lineDashes, toleranceMark, toleranceStroke } from "./strokes.ts";

interface CoatsSeries {
  label: string;
  /** colour difference after 0, 1, 2 … coats */
  deltaE: readonly number[];
  /** CSS colour of the line; neutral ink when left out */
  colour?: string;
}

interface CoatsData {
  series: readonly CoatsSeries[];
  /** difference that passes */
  tolerance: number;
  /** number of coats in the plan */
  planned: number;
  /** parts that get another number, and which */
  own?: readonly { readonly label: string; readonly coats: number }[];
  /** name of the difference axis */
  yLabel?: string;
}

/**
 * Colour difference against the number of coats, one line for each part, with the tolerance and the planned number.
 * The difference axis is widened near zero, where the decision falls.
 *
 * @throws RangeError for a series without values or a plan that is no number
 */
export function coatsChart(Plot: PlotLibrary, data: CoatsData, size: ChartSize): ChartOptions {
  const { series, tolerance, planned, own = [] } = data;
  for (const { label, deltaE } of series) {
    if (deltaE.length === 0) throw new RangeError(`series “${label}”: no values given, at least 1 needed`);
  }
  if (!(Number.isFinite(planned) && planned >= 0)) {
    throw new RangeError(`planned: ${planned} coats given, a number of at least 0 needed`);
  }
  const coats = Math.max(
    1,
    Math.ceil(planned),
    ...own.map((part) => part.coats),
    ...series.map((one) => one.deltaE.length - 1),
  );
  const strokes: Stroke[] = series.map((one, i) => ({
    colour: one.colour ?? ink,
    dash: lineDashes[i % lineDashes.length],
    width: 2.8,
  }));
  const plan = [
    { x: planned, label: `planned ${planned}`, now: true },
    ...own.map((part) => ({ x: part.coats, label: `${part.label} ${part.coats}`, now: true })),
  ];
  const frame = frameOf(size, { top: 32 + flagRoom(plan) });
  const largest = Math.max(tolerance, largestOf(...series.map((one) => one.deltaE)));
  return chartOptions(Plot, frame, {
    x: { domain: [0, coats], ticks: Math.min(coats, frame.width / 40), label: "Coats" },
    y: differenceAxis(data.yLabel ?? "Colour difference ΔE00", largest, frame.height),
    key: [
      ...series.map(({ label }, i) => ({ label, stroke: strokes[i] })),
      { label: `tolerance ${tolerance}`, stroke: toleranceStroke },
    ],
    marks: [
      ...series.flatMap(({ deltaE }, i) =>
        curveMarks(Plot, { x: Array.from(deltaE, (_, coat) => coat), y: deltaE }, strokes[i]),
      ),
      toleranceMark(Plot, tolerance),
      ...flagMarks(Plot, frame, [0, coats], plan),
    ],
  });
}
