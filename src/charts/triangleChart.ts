import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { inkSoft, rowHeight } from "./chrome.ts";
import { centredStart, type Frame, frameOf, labelMark, plotOptions, px, rows, toPixel } from "./frame.ts";
import { fitText, textWidth } from "./labels.ts";
import {
  type Corner,
  clipAt,
  levelLine,
  smallTriangles,
  triangleHeight,
  trianglePlace,
} from "./triangleGeometry.ts";

export interface TriangleData {
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

const svgNamespace = "http://www.w3.org/2000/svg";
const bands = 10;

/**
 * A result over all blends of three: filled bands in greys (dark is small), quarter lines, and a heavy line round what passes.
 *
 * @throws RangeError when the values do not fill the triangle
 */
export function triangleChart(Plot: PlotLibrary, data: TriangleData, size: ChartSize): PlotOptions {
  const { steps, values, names, best, current, level } = data;
  const points = ((steps + 1) * (steps + 2)) / 2;
  if (values.length !== points) {
    throw new RangeError(`${values.length} values for a triangle of ${steps} steps: ${points} needed`);
  }
  const [top, right, bottom, left] = [rowHeight * 2 + 8, 22, rowHeight + 10, 22];
  const width = Math.max(60, size.width - left - right);
  const height = Math.max(150, size.height - top - bottom);
  const side = Math.min(width, height / triangleHeight);
  // One scale for both directions, the triangle in the middle.
  const frame = frameOf(
    { width: size.width, height: top + Math.max(150, side * triangleHeight) + bottom },
    { top, right, bottom, left },
    { domain: [0.5 - width / side / 2, 0.5 + width / side / 2] },
    { domain: [0, Math.max(150 / side, triangleHeight)] },
  );
  const list = Array.from(values);
  const [least, most] = [Math.min(...list), Math.max(...list)];
  const corners = cornersOf(frame, steps, list);
  const pieces = smallTriangles(steps).map((three) => three.map((k) => corners[k]));
  const place = ({ second, third }: { second: number; third: number }) => {
    const { x, y } = trianglePlace(second, third);
    return { x: toPixel(frame.x, x), y: toPixel(frame.y, y) };
  };
  const apex = place({ second: 0, third: 1 });
  const [left0, right0] = [place({ second: 0, third: 0 }), place({ second: 1, third: 0 })];
  const underneath = frame.bottom + rowHeight / 2 + 4;
  const half = frame.size.width / 2 - 10;
  const [first, second, third] = names.map((name) => fitText(name, half));
  const passing =
    least > level ? "nowhere within" : most <= level ? "everywhere within" : "heavy line: tolerance";
  const dots = [
    { ...place(best), text: `best ${best.text}` },
    ...(current ? [{ ...place(current), text: "now" }] : []),
  ];
  return plotOptions(frame, [
    picture(pieces, greyBands(least, most), least <= level && level < most ? level : undefined),
    quarterLines(Plot, place),
    ...dots.map(({ x, y }) => [
      Plot.dot(rows(1), { x: px([x]), y: px([y]), r: 7, stroke: "#ffffff", strokeWidth: 5 }),
      Plot.dot(rows(1), { x: px([x]), y: px([y]), r: 7, stroke: "#000000", strokeWidth: 2.5 }),
    ]),
    labelMark(Plot, [
      { x: 4, y: rowHeight / 2, text: `${passing} ${level}` },
      { x: centredStart(third, apex.x, 2, frame.size.width - 2), y: frame.top - 14, text: third },
      { x: centredStart(first, left0.x, 2, frame.size.width - 2), y: underneath, text: first },
      { x: centredStart(second, right0.x, 2, frame.size.width - 2), y: underneath, text: second },
    ]),
    ...flagMarks(Plot, frame, dots),
  ]);
}

function cornersOf(frame: Frame, steps: number, values: readonly number[]): Corner[] {
  const corners: Corner[] = [];
  let k = 0;
  for (let third = 0; third <= steps; third++) {
    for (let second = 0; second <= steps - third; second++, k++) {
      const { x, y } = trianglePlace(second / steps, third / steps);
      corners.push({ x: toPixel(frame.x, x), y: toPixel(frame.y, y), v: values[k] });
    }
  }
  return corners;
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
function picture(pieces: Corner[][], list: Band[], level: number | undefined): Mark {
  return (_index, _scales, _values, _dimensions, context) => {
    const { document } = context;
    const group = document.createElementNS(svgNamespace, "g");
    const path = (d: string, attributes: Record<string, string>) => {
      if (d === "") return;
      const element = document.createElementNS(svgNamespace, "path");
      element.setAttribute("d", d);
      for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
      group.append(element);
    };
    for (const { from, to, grey } of list) {
      const d = pieces.map((piece) => pathOf(clipAt(clipAt(piece, to, "below"), from, "above"))).join("");
      // A stroke of the same grey closes the seams between the small triangles.
      path(d, { fill: grey, stroke: grey, "stroke-width": "0.8", "stroke-linejoin": "round" });
    }
    if (level !== undefined) {
      const d = pieces
        .map((piece) => levelLine(piece, level))
        .map((ends) => (ends ? `M${spot(ends[0])}L${spot(ends[1])}` : ""))
        .join("");
      path(d, { fill: "none", stroke: "#ffffff", "stroke-width": "5.5", "stroke-linecap": "round" });
      path(d, { fill: "none", stroke: "#000000", "stroke-width": "2.5", "stroke-linecap": "round" });
    }
    return group as unknown as SVGElement;
  };
}

const spot = ({ x, y }: Corner) => `${x.toFixed(1)},${y.toFixed(1)}`;
const pathOf = (piece: readonly Corner[]) => (piece.length < 3 ? "" : `M${piece.map(spot).join("L")}Z`);

type Place = (blend: { second: number; third: number }) => { x: number; y: number };

/** The outline, and a thin line at every quarter of each paint. */
function quarterLines(Plot: PlotLibrary, place: Place): Mark {
  const lines = [0, 0.25, 0.5, 0.75].flatMap((share) => [
    [place({ second: 0, third: share }), place({ second: 1 - share, third: share })],
    [place({ second: share, third: 0 }), place({ second: share, third: 1 - share })],
    [place({ second: 1 - share, third: 0 }), place({ second: 0, third: 1 - share })],
  ]);
  return Plot.link(rows(lines.length), {
    x1: px(lines.map(([from]) => from.x)),
    y1: px(lines.map(([from]) => from.y)),
    x2: px(lines.map(([, to]) => to.x)),
    y2: px(lines.map(([, to]) => to.y)),
    stroke: inkSoft,
    strokeOpacity: 0.55,
    strokeWidth: 1,
  });
}

/** Words of the dots on a plate of their own, so that they read on any grey. */
function flagMarks(Plot: PlotLibrary, frame: Frame, dots: { x: number; y: number; text: string }[]): Mark[] {
  const plates = dots.map(({ x, y, text }, i) => {
    const width = textWidth(text, true) + 10;
    const toRight = x + 14 + width < frame.size.width;
    // Two dots close to each other: one plate above, one below.
    const near = i > 0 && Math.hypot(x - dots[0].x, y - dots[0].y) < rowHeight + 4;
    const middle = near ? y + (y >= dots[0].y ? rowHeight : -rowHeight) : y;
    // The corner names stand under the lower edge.
    return { x: toRight ? x + 14 : x - 14 - width, y: Math.min(middle, frame.bottom - 13), width, text };
  });
  return [
    Plot.rect(rows(plates.length), {
      x1: px(plates.map(({ x }) => x)),
      x2: px(plates.map(({ x, width }) => x + width)),
      y1: px(plates.map(({ y }) => y - 11)),
      y2: px(plates.map(({ y }) => y + 11)),
      fill: "#ffffff",
      stroke: "#000000",
      rx: 3,
    }),
    Plot.text(rows(plates.length), {
      x: px(plates.map(({ x }) => x + 5)),
      y: px(plates.map(({ y }) => y)),
      text: plates.map(({ text }) => text),
      textAnchor: "start",
      fill: "#000000",
      fontWeight: "bold",
    }),
  ];
}
