import { deltaE2000 } from "../../../src/colour/difference.ts";
import { reflectanceToLab } from "../../../src/colour/Lab.ts";
import type { TristimulusWeights } from "../../../src/colour/weights.ts";
import { meanSpectrum, type ReadingStatistics, readingStatistics } from "../../../src/exchange/readings.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import type { Reading } from "../../../src/ports/reading.ts";
import { onWorkingGrid } from "../../../src/ports/spectrum.ts";

/** Several readings of one surface: what they say together, and each of them. */
export interface ReadingsReport {
  readonly labels: readonly string[];
  readonly Labs: readonly Float64Array[];
  /** Each on the working grid; undefined where they are Lab. */
  readonly curves: readonly Float64Array[] | undefined;
  /** Mean, spread and outliers in CIELAB; differences are ΔE00. */
  readonly statistics: ReadingStatistics;
}

interface Together {
  readonly report: ReadingsReport;
  readonly reflectance: Float64Array | undefined;
  readonly Lab: Float64Array;
}

/**
 * Mean of readings, without those that do not belong to the others.
 *
 * @param weights light and observer in which spectra are compared
 * @param keepAll count every reading, outliers too
 * @param note told what was assumed, and which reading was left out
 * @throws InputError for spectra and Lab mixed, which cannot be averaged
 */
export function readingsTogether(
  readings: readonly Reading[],
  weights: TristimulusWeights,
  keepAll: boolean,
  note: (text: string) => void,
): Together {
  const labels = readings.map(({ label }) => label);
  const { curves, given } = curvesOrLab(readings, note);
  const Labs = curves
    ? curves.map((curve) => reflectanceToLab(curve, weights, new Float64Array(3)))
    : given.map((Lab) => Float64Array.from(Lab));
  const statistics = readingStatistics(Labs, labels, deltaE2000, keepAll);
  for (const text of statistics.notes) note(text);
  const counted = curves?.filter((_, i) => !statistics.outliers.includes(i));
  return {
    report: { labels, Labs, curves, statistics },
    reflectance: counted && meanSpectrum(counted).mean,
    Lab: statistics.Lab,
  };
}

function curvesOrLab(
  readings: readonly Reading[],
  note: (text: string) => void,
): { curves: Float64Array[] | undefined; given: readonly (readonly [number, number, number])[] } {
  const curves: Float64Array[] = [];
  const given: [number, number, number][] = [];
  /** What was done on the way to the grid, and to whom. */
  const steps = new Map<string, string[]>();
  for (const reading of readings) {
    if (reading.kind === "lab") given.push(reading.Lab);
    else {
      const own = `${reading.label}: `;
      const told = (text: string) => {
        const step = text.startsWith(own) ? text.slice(own.length) : text;
        steps.set(step, [...(steps.get(step) ?? []), reading.label]);
      };
      curves.push(onWorkingGrid(reading, told));
    }
  }
  if (curves.length > 0 && given.length > 0) {
    throw new InputError("Spectra and Lab readings are mixed, and cannot be averaged", {
      field: "readings",
      wayOut: "Keep the spectra, or keep the Lab readings",
    });
  }
  for (const [step, who] of steps) {
    note(`${who.length === readings.length ? "every reading" : who.join(", ")}: ${step}`);
  }
  return { curves: curves.length > 0 ? curves : undefined, given };
}
