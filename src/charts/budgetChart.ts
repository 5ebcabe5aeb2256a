import type { ChartSize, Mark, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { curveEdge, ink, paper, rowHeight } from "./chrome.ts";
import {
  axisMarks,
  centredStart,
  type Frame,
  frameOf,
  labelMark,
  plateMark,
  plotOptions,
  px,
  rows,
  toPixel,
} from "./frame.ts";
import { keyRows, keyTextX, sampleLength, textWidth } from "./labels.ts";
import { type PatternName, patternDefinitions, patternFill, patternNames } from "./patterns.ts";
import { percentTicks, wavelengthTicks } from "./ticks.ts";

export interface BudgetBand {
  label: string;
  /** share of the entering light, 0…1, one for each wavelength */
  share: ArrayLike<number>;
  /** CSS colour of the area */
  colour: string;
  /** hatching; without it the bands take turns */
  pattern?: PatternName;
}

export interface BudgetData {
  /** nm, increasing, at least two */
  wavelengths: ArrayLike<number>;
  /** from the bottom of the stack to its top */
  bands: readonly BudgetBand[];
  /** wavelength to point out, nm */
  marked?: number;
}

/**
 * Where the light goes: shares of the entering light against wavelength, stacked. Each band has a hatching, an entry in
 * the key, and its name inside it where there is room.
 *
 * @throws RangeError for fewer than two wavelengths or a band of another length
 */
export function budgetChart(Plot: PlotLibrary, data: BudgetData, size: ChartSize): PlotOptions {
  const { wavelengths, bands } = data;
  const points = wavelengths.length;
  if (points < 2) throw new RangeError(`wavelengths: ${points} given, at least 2 needed`);
  for (const { label, share } of bands) {
    if (share.length !== points)
      throw new RangeError(`band “${label}”: ${share.length} values for ${points} wavelengths`);
  }
  const patterns = bands.map((band, i) => band.pattern ?? patternNames[i % patternNames.length]);
  const key = keyRows(
    bands.map((band) => band.label),
    4,
    size.width - 4,
    2,
  );
  const frame = frameOf(
    size,
    {
      top: key.rows * rowHeight + (data.marked === undefined ? 38 : 38 + rowHeight),
      right: 14,
      bottom: 50,
      left: 42,
    },
    { domain: [wavelengths[0], wavelengths[points - 1]] },
    { domain: [0, 1] },
  );
  const stack = stackOf(wavelengths, bands);
  const area = { x: stack.x, y1: stack.y1, y2: stack.y2, z: stack.band };
  const length = stack.x.length;
  const hatched = patterns.some((pattern) => pattern !== "none");
  const fillOf = (band: number) => {
    const pattern = patterns[band];
    return pattern === "none" ? "none" : patternFill(pattern);
  };
  const places = key.places;
  const block = {
    x1: px(places.map((place) => place.x)),
    x2: px(places.map((place) => place.x + sampleLength)),
    y1: px(places.map((place) => place.y - 8)),
    y2: px(places.map((place) => place.y + 8)),
    stroke: curveEdge,
  };
  const marks: Mark[] = [
    patternDefinitions(patterns),
    ...axisMarks(Plot, frame, {
      xTicks: wavelengthTicks(wavelengths[0], wavelengths[points - 1], frame.right - frame.left),
      yTicks: percentTicks(1, frame.bottom - frame.top),
      xLabel: "Wavelength, nm",
      yLabel: "Share of the entering light, %",
      yLabelAt: key.rows * rowHeight + 22,
    }),
    Plot.areaY(rows(length), {
      ...area,
      fill: { value: Array.from(stack.band, (band) => bands[band].colour), scale: null },
    }),
    ...(hatched
      ? [Plot.areaY(rows(length), { ...area, fill: { value: Array.from(stack.band, fillOf), scale: null } })]
      : []),
    Plot.line(rows(length), { x: stack.x, y: stack.y2, z: stack.band, stroke: curveEdge, strokeWidth: 1.5 }),
    Plot.rect(rows(places.length), {
      ...block,
      fill: { value: bands.map((band) => band.colour), scale: null },
    }),
    Plot.rect(rows(places.length), {
      ...block,
      fill: { value: bands.map((_, i) => fillOf(i)), scale: null },
    }),
    labelMark(
      Plot,
      places.map((place) => ({ x: keyTextX(place), y: place.y, text: place.text })),
    ),
  ];
  if (data.marked !== undefined) marks.push(...markedWavelength(Plot, frame, data.marked));
  const inside = insideLabels(frame, wavelengths, bands);
  if (inside.length > 0) marks.push(plateMark(Plot, inside), labelMark(Plot, inside));
  return plotOptions(frame, marks);
}

/** Lower and upper edge of each band at each wavelength, as columns. */
function stackOf(wavelengths: ArrayLike<number>, bands: readonly BudgetBand[]) {
  const points = wavelengths.length;
  const length = points * bands.length;
  const stack = {
    x: new Float64Array(length),
    y1: new Float64Array(length),
    y2: new Float64Array(length),
    band: new Uint16Array(length),
  };
  for (let i = 0; i < points; i++) {
    let below = 0;
    for (let band = 0; band < bands.length; band++) {
      const row = band * points + i;
      stack.x[row] = wavelengths[i];
      stack.y1[row] = below;
      below += bands[band].share[i];
      stack.y2[row] = below;
      stack.band[row] = band;
    }
  }
  return stack;
}

/**
 * Names that fit inside their bands. Each stands at the band's centre of weight (share squared), which moves smoothly
 * when the shares do; it is left out when the band is too thin anywhere along the word.
 */
function insideLabels(frame: Frame, wavelengths: ArrayLike<number>, bands: readonly BudgetBand[]) {
  const labels: { x: number; y: number; text: string }[] = [];
  const points = wavelengths.length;
  for (let band = 0; band < bands.length; band++) {
    const { share, label } = bands[band];
    let weight = 0;
    let moment = 0;
    for (let i = 0; i < points; i++) {
      weight += share[i] ** 2;
      moment += share[i] ** 2 * wavelengths[i];
    }
    if (!(weight > 0)) continue;
    const width = textWidth(label) + 10;
    const centre = toPixel(frame.x, moment / weight);
    const start = Math.max(frame.left + 2, Math.min(centre - width / 2, frame.right - width - 2));
    let ceiling = Number.NEGATIVE_INFINITY;
    let floor = Number.POSITIVE_INFINITY;
    for (let i = 0; i < points; i++) {
      const x = toPixel(frame.x, wavelengths[i]);
      if (x < start - 8 || x > start + width + 8) continue;
      let below = 0;
      for (let b = 0; b < band; b++) below += bands[b].share[i];
      ceiling = Math.max(ceiling, toPixel(frame.y, below + share[i]));
      floor = Math.min(floor, toPixel(frame.y, below));
    }
    if (floor - ceiling >= rowHeight + 2 && width < frame.right - frame.left) {
      labels.push({ x: start + 5, y: (floor + ceiling) / 2, text: label });
    }
  }
  return labels;
}

/** An upright double line, dark in light, that shows on any band, with the wavelength above it. */
function markedWavelength(Plot: PlotLibrary, frame: Frame, wavelength: number): Mark[] {
  const text = `${Math.round(wavelength)} nm`;
  const line = { x: [wavelength], y1: px([frame.top - 8]), y2: px([frame.bottom]) };
  const start = centredStart(text, toPixel(frame.x, wavelength), frame.left, frame.right + 12);
  return [
    Plot.ruleX(rows(1), { ...line, stroke: paper, strokeWidth: 6 }),
    Plot.ruleX(rows(1), { ...line, stroke: ink, strokeWidth: 2.5 }),
    labelMark(Plot, [{ x: start, y: frame.top - 16, text }], "bold"),
  ];
}
