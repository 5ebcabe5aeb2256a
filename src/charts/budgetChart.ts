import type { ChartOptions, ChartSize, Mark, PatternName, PlotLibrary } from "./chartTypes.ts";
import { curveEdge, paper } from "./chrome.ts";
import { flagMarks, flagRoom } from "./flags.ts";
import { chartOptions, frameOf, percent, raw, sameLength } from "./frame.ts";
import { patternDefinitions, patternFill, patternNames } from "./patterns.ts";

interface BudgetBand {
  label: string;
  /** share of the entering light, 0…1, one for each wavelength */
  share: ArrayLike<number>;
  /** CSS colour of the area */
  colour: string;
  /** hatching; without it the bands take turns */
  pattern?: PatternName;
}

interface BudgetData {
  /** nm, increasing, at least two */
  wavelengths: ArrayLike<number>;
  /** from the bottom of the stack to its top */
  bands: readonly BudgetBand[];
  /** wavelength to point out, nm */
  marked?: number;
}

/**
 * Where the light goes: shares of the entering light against wavelength, stacked. Each band has a hatching and an entry
 * in the key.
 *
 * @throws RangeError for fewer than two wavelengths or a band of another length
 */
export function budgetChart(Plot: PlotLibrary, data: BudgetData, size: ChartSize): ChartOptions {
  const { wavelengths, bands, marked } = data;
  const points = wavelengths.length;
  if (points < 2) throw new RangeError(`wavelengths: ${points} given, at least 2 needed`);
  for (const { label, share } of bands) sameLength(`band “${label}”`, share, points, "wavelengths");
  const patterns = bands.map((band, i) => band.pattern ?? patternNames[i % patternNames.length]);
  const domain = [wavelengths[0], wavelengths[points - 1]] as const;
  const flags = marked === undefined ? [] : [{ x: marked, label: `${Math.round(marked)} nm`, now: true }];
  const band = bands.flatMap(({ share }, band) => Array.from(share, () => band));
  const shares = {
    x: bands.flatMap(() => Array.from(wavelengths)),
    y: bands.flatMap(({ share }) => Array.from(share)),
    z: band,
  };
  const areas = (fills: readonly string[]): Mark =>
    Plot.areaY(band, { ...shares, fill: raw(band.map((at) => fills[at])) });
  const frame = frameOf(size, { top: 32 + flagRoom(flags) });
  return chartOptions(Plot, frame, {
    x: { domain, label: "Wavelength, nm" },
    y: { domain: [0, 1], tickFormat: percent, label: "Share of the entering light, %" },
    key: bands.map(({ label, colour }, i) => ({ label, fill: colour, pattern: patterns[i] })),
    marks: [
      patternDefinitions(patterns),
      areas(bands.map(({ colour }) => colour)),
      areas(patterns.map(patternFill)),
      Plot.lineY(band, Plot.stackY2({ ...shares, stroke: curveEdge })),
      Plot.ruleX(flags, { x: "x", stroke: paper, strokeWidth: 6 }),
      ...flagMarks(Plot, frame, domain, flags),
    ],
  });
}
