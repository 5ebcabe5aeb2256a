import type { ChartOptions, ChartSize, Mark, PlotLibrary, Stroke } from "./chartTypes.ts";
import { bandFill, ink, surround } from "./chrome.ts";
import { flagMarks, flagRoom } from "./flags.ts";
import {
  chartOptions,
  differenceAxis,
  type Frame,
  frameOf,
  largestOf,
  percent,
  raw,
  sameLength,
} from "./frame.ts";
import { curveMarks, lineDashes, toleranceMark, toleranceStroke } from "./strokes.ts";

interface RatioCurve {
  label: string;
  /** colour difference at each ratio */
  deltaE: ArrayLike<number>;
}

interface RatioData {
  /** blend ratios, 0…1, increasing, at least two */
  ratios: ArrayLike<number>;
  /** colour difference to the target at each ratio */
  deltaE: ArrayLike<number>;
  /** CSS colour that results at each ratio */
  colours: readonly string[];
  /** ratio of the least difference */
  best: number;
  /** region about as good as the best */
  flat?: readonly [number, number];
  /** ratio now chosen */
  current: number;
  /** difference that passes */
  tolerance: number;
  xLabel: string;
  yLabel: string;
  /** name of the main curve; needed only beside further curves */
  label?: string;
  /** further curves, such as the expected difference when film build varies */
  curves?: readonly RatioCurve[];
}

const stripFrame = 5;
const stripHeightOf = ({ compact }: ChartSize) => (compact ? 10 : 30);

/**
 * Colour difference against blend ratio, with the best ratio, the flat region about it, the ratio now chosen, the
 * tolerance, and under the axis a strip of the colours that result. The difference axis is widened near zero.
 *
 * @throws RangeError when the lists differ in length or hold fewer than two ratios
 */
export function ratioChart(Plot: PlotLibrary, data: RatioData, size: ChartSize): ChartOptions {
  const { ratios, deltaE, colours, best, current, flat, tolerance, curves = [] } = data;
  const count = ratios.length;
  if (count < 2) throw new RangeError(`ratios: ${count} given, at least 2 needed`);
  const all = [{ label: data.label ?? "difference", deltaE }, ...curves];
  sameLength("colours", colours, count, "ratios");
  for (const curve of all) sameLength(`curve “${curve.label}”`, curve.deltaE, count, "ratios");
  const flags = [
    { x: best, label: `best ${percent(best)} %` },
    { x: current, label: `now ${percent(current)} %`, now: true },
  ];
  const stripHeight = stripHeightOf(size);
  const stripRoom = stripHeight + 2 * stripFrame + 4;
  const frame = frameOf(size, { top: (size.compact ? 24 : 32) + flagRoom(flags), bottom: 50 + stripRoom });
  const domain = [ratios[0], ratios[count - 1]] as const;
  const strokes: Stroke[] = all.map((_, i) => ({
    colour: ink,
    dash: lineDashes[i % lineDashes.length],
    width: i === 0 ? 3 : 2.2,
  }));
  const largest = Math.max(tolerance, largestOf(...all.map((curve) => curve.deltaE)));
  return chartOptions(Plot, frame, {
    x: { domain, axis: null },
    y: differenceAxis(data.yLabel, largest, frame.height),
    key: [
      ...all.map(({ label }, i) => ({ label, stroke: strokes[i] })),
      { label: `tolerance ${tolerance}`, stroke: toleranceStroke },
      ...(flat ? [{ label: `flat ${percent(flat[0])}–${percent(flat[1])} %`, fill: bandFill }] : []),
    ],
    marks: [
      ...(flat ? [Plot.rectX([flat], { x1: ([from]) => from, x2: ([, to]) => to, fill: bandFill })] : []),
      ...strip(Plot, data, frame),
      Plot.axisX({
        insetBottom: -stripRoom,
        labelAnchor: "center",
        labelArrow: "none",
        labelOffset: 42 + stripRoom,
        tickFormat: percent,
        label: size.compact ? null : data.xLabel,
      }),
      ...all.flatMap((curve, i) => curveMarks(Plot, { x: ratios, y: curve.deltaE }, strokes[i])),
      toleranceMark(Plot, tolerance),
      ...flagMarks(Plot, frame, domain, flags, stripRoom),
    ],
  });
}

/** Under the axis the colours that result, edge to edge on a neutral surround. */
function strip(Plot: PlotLibrary, { ratios, colours }: RatioData, { height, size }: Frame): Mark[] {
  const stripHeight = stripHeightOf(size);
  const last = ratios.length - 1;
  const middle = (i: number) => (ratios[Math.max(0, i)] + ratios[Math.min(last, i + 1)]) / 2;
  const below = (outer: number) => ({
    insetTop: height + 4 + stripFrame - outer,
    insetBottom: -(4 + stripFrame + stripHeight + outer),
  });
  return [
    Plot.rectX([0], {
      x1: [ratios[0]],
      x2: [ratios[last]],
      ...below(stripFrame),
      insetLeft: -stripFrame,
      insetRight: -stripFrame,
      fill: surround,
    }),
    Plot.rectX(colours, {
      x1: Array.from(colours, (_, i) => middle(i - 1)),
      x2: Array.from(colours, (_, i) => middle(i)),
      ...below(0),
      fill: raw(colours),
      shapeRendering: "crispEdges",
    }),
  ];
}
