import type { ChartOptions, ChartSize, Mark, PlotLibrary } from "./chartTypes.ts";
import { inkSoft, rowHeight, textSize } from "./chrome.ts";
import { placeMarks } from "./flags.ts";
import { chartOptions, frameOf, leastPlotHeight } from "./frame.ts";
import { ownMark } from "./ownMark.ts";
import {
  type Corner,
  clipAt,
  levelLine,
  smallTriangles,
  type TrianglePlace,
  triangleHeight,
  trianglePlace,
} from "./triangleGeometry.ts";

interface TriangleData {
  /** steps along each side */
  steps: number;
  /** row by row of the third share, within a row by the second: (steps + 1)(steps + 2)/2 */
  values: ArrayLike<number>;
  names: readonly [string, string, string];
  /** shares of the second and the third */
  best: { second: number; third: number; text: string };
  current?: { second: number; third: number };
  /** what passes, drawn as a heavy line */
  level: number;
}

const bands = 10;

/**
 * A result over all blends of three: filled bands in greys (dark is small), quarter lines, and a heavy line round what passes.
 *
 * @throws RangeError when the values do not fill the triangle
 */
export function triangleChart(Plot: PlotLibrary, data: TriangleData, size: ChartSize): ChartOptions {
  const { steps, values, names, best, current, level } = data;
  const points = ((steps + 1) * (steps + 2)) / 2;
  if (values.length !== points) {
    throw new RangeError(`${values.length} values for a triangle of ${steps} steps: ${points} needed`);
  }
  const margins = { top: rowHeight * 2 + 8, right: 22, bottom: rowHeight + 10, left: 22 };
  const room = frameOf(size, margins);
  const side = Math.min(room.width, room.height / triangleHeight);
  const height = Math.max(leastPlotHeight, side * triangleHeight);
  const frame = frameOf({ width: size.width, height: height + margins.top + margins.bottom }, margins);
  const [least, most] = [Math.min(...Array.from(values)), Math.max(...Array.from(values))];
  const passing =
    least > level ? "nowhere within" : most <= level ? "everywhere within" : "heavy line: tolerance";
  // One scale for both directions, the triangle in the middle.
  const half = room.width / side / 2;
  const domain = [0.5 - half, 0.5 + half] as const;
  const at = (blend: { second: number; third: number }) => trianglePlace(blend.second, blend.third);
  // Names of the lower corners begin and end near the edges of the picture.
  const [start, end] = half > 0.9 ? (["middle", "middle"] as const) : (["start", "end"] as const);
  const name = (
    text: string,
    blend: TrianglePlace,
    dy: number,
    textAnchor: typeof start | typeof end = "middle",
  ) =>
    Plot.text([text], {
      x: [blend.x],
      y: [blend.y],
      textAnchor,
      dx: { start: -16, middle: 0, end: 16 }[textAnchor],
      dy,
      lineWidth: (size.width / 2 - 10) / textSize,
      textOverflow: "ellipsis",
    });
  const domains = { x: domain, y: [0, height / side] as const };
  return chartOptions(Plot, frame, {
    x: { domain, axis: null },
    y: { domain: domains.y, axis: null },
    marks: [
      picture(data, greyBands(least, most), least <= level && level < most ? level : undefined),
      quarterLines(Plot),
      Plot.text([`${passing} ${level}`], { frameAnchor: "top-left", dx: -18, dy: 4 - margins.top }),
      name(names[0], trianglePlace(0, 0), rowHeight / 2 + 4, start),
      name(names[1], trianglePlace(1, 0), rowHeight / 2 + 4, end),
      name(names[2], trianglePlace(0, 1), -14),
      ...placeMarks(Plot, frame, domains, [
        { ...at(best), text: `best ${best.text}` },
        ...(current ? [{ ...at(current), text: "now" }] : []),
      ]),
    ],
  });
}

interface Band {
  from: number;
  to: number;
  grey: string;
}

/** Bands narrower where values are small, as the eye cares most there. */
function greyBands(least: number, most: number): Band[] {
  const edge = (k: number) => least + (most - least) * (k / bands) ** 1.6;
  return Array.from({ length: bands }, (_, k) => {
    const tone = Math.round(70 + (170 * k) / (bands - 1));
    return {
      from: k === 0 ? Number.NEGATIVE_INFINITY : edge(k),
      to: k === bands - 1 ? Number.POSITIVE_INFINITY : edge(k + 1),
      grey: `rgb(${tone},${tone},${tone})`,
    };
  });
}

/** All bands and the heavy line as a handful of paths. */
function picture({ steps, values }: TriangleData, list: Band[], level: number | undefined): Mark {
  return ownMark((element, x, y) => {
    const corners: Corner[] = [];
    for (let third = 0; third <= steps; third++) {
      for (let second = 0; second <= steps - third; second++) {
        const place = trianglePlace(second / steps, third / steps);
        corners.push({ x: x(place.x), y: y(place.y), v: values[corners.length] });
      }
    }
    const pieces = smallTriangles(steps).map((three) => three.map((k) => corners[k]));
    const fields = list.map(({ from, to, grey }) =>
      // A stroke of the same grey closes the seams between the small triangles.
      element("path", {
        d: pieces.map((piece) => pathOf(clipAt(clipAt(piece, to, "below"), from, "above"))).join(""),
        fill: grey,
        stroke: grey,
        "stroke-width": 0.8,
        "stroke-linejoin": "round",
      }),
    );
    if (level === undefined) return element("g", {}, fields);
    const d = pieces
      .map((piece) => levelLine(piece, level))
      .map((ends) => (ends ? `M${spot(ends[0])}L${spot(ends[1])}` : ""))
      .join("");
    const line = (stroke: string, width: number) =>
      element("path", { d, fill: "none", stroke, "stroke-width": width, "stroke-linecap": "round" });
    return element("g", {}, [...fields, line("#ffffff", 5.5), line("#000000", 2.5)]);
  });
}

const spot = ({ x, y }: Corner) => `${x.toFixed(1)},${y.toFixed(1)}`;
const pathOf = (piece: readonly Corner[]) => (piece.length < 3 ? "" : `M${piece.map(spot).join("L")}Z`);

/** The outline, and a thin line at every quarter of each paint. */
function quarterLines(Plot: PlotLibrary): Mark {
  const lines = [0, 0.25, 0.5, 0.75].flatMap((share) => [
    [trianglePlace(0, share), trianglePlace(1 - share, share)],
    [trianglePlace(share, 0), trianglePlace(share, 1 - share)],
    [trianglePlace(1 - share, 0), trianglePlace(0, 1 - share)],
  ]);
  return Plot.link(lines, {
    x1: ([from]) => from.x,
    y1: ([from]) => from.y,
    x2: ([, to]) => to.x,
    y2: ([, to]) => to.y,
    stroke: inkSoft,
    strokeOpacity: 0.55,
  });
}
