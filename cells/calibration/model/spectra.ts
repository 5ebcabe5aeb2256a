import type { CalibrateArgs } from "../../../src/calibration/calibrationTasks.ts";
import type { PasteLabel } from "../../../src/calibration/compose.ts";
import { type Finding, listOf } from "../../../src/calibration/finding.ts";
import { problemFromTable } from "../../../src/calibration/fromTable.ts";
import type { Outlier } from "../../../src/calibration/outliers.ts";
import {
  type CalibrationOptions,
  type CalibrationResult,
  usualCalibrationOptions,
} from "../../../src/calibration/result.ts";
import type { Component } from "../../../src/coating/component.ts";
import { wavelengths, workingGrid } from "../../../src/colour/grid.ts";
import type { TristimulusWeights } from "../../../src/colour/weights.ts";
import type { ComputeContext } from "../../../src/graph/defineCell.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import type { SurfaceConstants } from "../../../src/optics/interface.ts";
import { type KeptDrawdowns, type KeptTable, ownLabels, tableOf } from "./drawdowns.ts";

/** A drawdown that contradicts the others, and whether it is used all the same. */
export interface Contradicting {
  readonly label: string;
  readonly cause: Outlier["cause"];
  readonly text: string;
  readonly used: boolean;
}

/** A calibration from spectra, with what the cell itself has to say about the table. */
export interface SpectralCalibration {
  readonly result: CalibrationResult;
  readonly findings: readonly Finding[];
  readonly contradicting: readonly Contradicting[];
}

/** What is assumed about paste, surface and readings. */
export interface SpectralSettings {
  readonly paste: PasteLabel;
  readonly surface: SurfaceConstants;
  /** 1σ of a single reading, in reflectance */
  readonly noise: number;
  readonly options: Pick<CalibrationOptions, "smoothness" | "outliers" | "k2Sigma">;
}

const grid = wavelengths(workingGrid);

/**
 * Calibrates from a kept table. Drawdowns that contradict the others are set aside, but for those that the person wants
 * used: then the fit is made again with them, without the others that contradict, and none is set aside any more.
 */
export async function calibrateSpectra(
  kept: KeptDrawdowns,
  known: readonly Component[],
  weights: TristimulusWeights,
  settings: SpectralSettings,
  context: ComputeContext,
): Promise<SpectralCalibration> {
  const solve = (without: readonly string[], outliers: CalibrationOptions["outliers"]) =>
    context.run<CalibrationResult>("calibrate", {
      problem: mendable(() =>
        problemFromTable(tableOf(kept, without), settings.paste, known, {
          surface: settings.surface,
          noise: settings.noise,
        }),
      ),
      options: { ...usualCalibrationOptions, ...settings.options, outliers },
      wavelengths: grid,
      weights,
    } satisfies CalibrateArgs);
  const labels = ownLabels(kept.films);
  const wanted = new Set(labels.filter((_, f) => kept.films[f].always));
  const first = await solve([], settings.options.outliers);
  const judged = first.outliers.map(
    ({ label, cause, text }): Contradicting => ({ label, cause, text, used: wanted.has(label) }),
  );
  const remarks = remarksOn(kept);
  if (!judged.some(({ used }) => used)) {
    return { result: first, findings: [...first.findings, ...remarks], contradicting: judged };
  }
  const aside = judged.filter(({ used }) => !used);
  const result = await solve(
    aside.map(({ label }) => label),
    "keep",
  );
  const still = first.findings.filter(
    ({ code, drawdowns }) => code === "outlier" && aside.some(({ label }) => drawdowns.includes(label)),
  );
  return { result, findings: [...still, ...result.findings, ...remarks], contradicting: judged };
}

/** What the table itself gives reason to say. */
export function remarksOn({ films }: KeptTable<unknown>): Finding[] {
  const findings: Finding[] = [];
  const labels = ownLabels(films);
  const twice = labels.filter((label, f) => label !== films[f].label);
  if (twice.length > 0) {
    findings.push({
      code: "same-label",
      severity: "caution",
      text: `Several drawdowns have the same label; the later ones were numbered: ${listOf(twice)}.`,
      drawdowns: twice,
    });
  }
  const unread = labels.filter((_, f) => films[f].use && films[f].readings.length === 0);
  if (unread.length > 0) {
    findings.push({
      code: "nothing-to-fit",
      severity: "note",
      text: `${listOf(unread)} ${unread.length === 1 ? "has" : "have"} no reading yet and ${unread.length === 1 ? "is" : "are"} passed over.`,
      drawdowns: unread,
    });
  }
  return findings;
}

/** Faults of the table as something that can be mended in it. @throws InputError */
export function mendable<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof RangeError || error instanceof TypeError)) throw error;
    throw new InputError(error.message, {
      field: "drawdowns",
      wayOut: "Mend it in the table of drawdowns below",
      cause: error,
    });
  }
}
