import type { ChartSize, PlotLibrary, PlotOptions } from "./chartTypes.ts";
import { curveLabelMarks, labelRoom } from "./curveLabels.ts";
import { axisMarks, frameOf, plotOptions, toPixel } from "./frame.ts";
import { curveMarks, curveSet, type Stroke } from "./strokes.ts";
import { percentTicks, wavelengthTicks } from "./ticks.ts";

export type CurveRole = "target" | "ground" | "film" | "opaque" | "other";

export interface ReflectanceCurve {
  label: string;
  /** reflectance, 0…1, one for each wavelength; a gap where it is not finite */
  values: ArrayLike<number>;
  /** CSS colour of the line, as a rule the colour that the curve describes */
  colour: string;
  role: CurveRole;
  /** drawn heavier and labelled in bold */
  emphasis?: boolean;
}

export interface ReflectanceData {
  curves: readonly ReflectanceCurve[];
  /** nm, increasing, at least two */
  wavelengths: ArrayLike<number>;
}

/** The target is a full, heavy line; other roles have dashes of their own, and each further curve of a role another. */
const dashesOf: Record<CurveRole, readonly string[]> = {
  target: ["", "30 4"],
  film: ["14 5", "8 4", "22 5 8 5", "5 3"],
  ground: ["3 4", "3 9", "3 4 3 10"],
  opaque: ["14 4 3 4", "22 4 3 4"],
  other: ["14 4 3 4 3 4", "22 4 3 4 3 4"],
};

/**
 * Reflectance against wavelength: target, ground, films and the opaque limit.
 * Labels stand at the curve ends (wide) or in a key above (narrow), each with a sample of its dash pattern.
 *
 * @throws RangeError for fewer than two wavelengths or a curve of another length
 */
export function reflectanceChart(Plot: PlotLibrary, data: ReflectanceData, size: ChartSize): PlotOptions {
  const { curves, wavelengths } = data;
  const last = wavelengths.length - 1;
  if (last < 1) throw new RangeError(`wavelengths: ${wavelengths.length} given, at least 2 needed`);
  for (const { label, values } of curves) {
    if (values.length !== wavelengths.length) {
      throw new RangeError(`curve “${label}”: ${values.length} values for ${wavelengths.length} wavelengths`);
    }
  }
  const strokes = strokesOf(curves);
  const room = labelRoom(
    curves.map((curve) => curve.label),
    size,
  );
  const highest = Math.max(1, ...curves.map((curve) => largest(curve.values)));
  const frame = frameOf(
    size,
    { top: room.top + 32, right: room.right, bottom: 50, left: 42 },
    { domain: [wavelengths[0], wavelengths[last]] },
    { domain: [0, Math.ceil(highest * 10 - 1e-9) / 10] },
  );
  const set = curveSet(curves.map((curve) => ({ x: wavelengths, y: curve.values })));
  const ends = curves.map(({ label, values, emphasis }) => {
    const end = lastFinite(values);
    return {
      label,
      x: toPixel(frame.x, wavelengths[end]),
      y: toPixel(frame.y, values[end] || 0),
      bold: emphasis,
    };
  });
  return plotOptions(frame, [
    ...axisMarks(Plot, frame, {
      xTicks: wavelengthTicks(wavelengths[0], wavelengths[last], frame.right - frame.left),
      yTicks: percentTicks(frame.y.domain[1], frame.bottom - frame.top),
      xLabel: "Wavelength, nm",
      yLabel: "Reflectance, %",
    }),
    ...curveMarks(Plot, set, strokes),
    ...curveLabelMarks(Plot, frame, room, ends, strokes),
  ]);
}

function strokesOf(curves: readonly ReflectanceCurve[]): Stroke[] {
  const used: Partial<Record<CurveRole, number>> = {};
  return curves.map(({ role, colour, emphasis }) => {
    const count = used[role] ?? 0;
    used[role] = count + 1;
    const width = role === "target" ? 4 : 2.6;
    return {
      colour,
      dash: dashesOf[role][count % dashesOf[role].length],
      width: emphasis ? width + 1.4 : width,
    };
  });
}

function largest(values: ArrayLike<number>): number {
  let most = 0;
  for (let i = 0; i < values.length; i++)
    if (values[i] > most && Number.isFinite(values[i])) most = values[i];
  return most;
}

/** Index of the last finite value, or of the last value when none is finite. */
function lastFinite(values: ArrayLike<number>): number {
  for (let i = values.length - 1; i >= 0; i--) if (Number.isFinite(values[i])) return i;
  return values.length - 1;
}
