import type { ChartOptions, ChartSize, PlotLibrary, Stroke } from "./chartTypes.ts";
import { chartOptions, frameOf, largestOf, percent, sameLength } from "./frame.ts";
import { curveMarks } from "./strokes.ts";

type CurveRole = "target" | "ground" | "film" | "opaque" | "other";

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

interface ReflectanceData {
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
 * Reflectance against wavelength: target, ground, films and the opaque limit, each with its own dash pattern in the key.
 *
 * @throws RangeError for fewer than two wavelengths or a curve of another length
 */
export function reflectanceChart(
  Plot: PlotLibrary,
  { curves, wavelengths }: ReflectanceData,
  size: ChartSize,
): ChartOptions {
  const last = wavelengths.length - 1;
  if (last < 1) throw new RangeError(`wavelengths: ${wavelengths.length} given, at least 2 needed`);
  for (const { label, values } of curves) sameLength(`curve “${label}”`, values, last + 1, "wavelengths");
  const strokes = strokesOf(curves);
  const highest = Math.max(1, largestOf(...curves.map((curve) => curve.values)));
  return chartOptions(Plot, frameOf(size), {
    x: { domain: [wavelengths[0], wavelengths[last]], label: "Wavelength, nm" },
    y: { domain: [0, Math.ceil(highest * 10 - 1e-9) / 10], tickFormat: percent, label: "Reflectance, %" },
    key: curves.map(({ label, emphasis }, i) => ({ label, stroke: strokes[i], bold: emphasis })),
    marks: curves.flatMap(({ values }, i) => curveMarks(Plot, { x: wavelengths, y: values }, strokes[i])),
  });
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
