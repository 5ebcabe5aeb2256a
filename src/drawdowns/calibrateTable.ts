import {
  bandsOfCurves,
  type CoefficientBands,
  type DoubtfulCurves,
  fingerprint,
} from "../calibration/bands.ts";
import {
  type ComponentLabel,
  calibratedComponent,
  coarseComponent,
  coarseCurves,
  withFiniteSigma,
} from "../calibration/calibratedComponent.ts";
import { type Finding, gathering, listOf, mostSevereFirst } from "../calibration/finding.ts";
import type { WavelengthStatus } from "../calibration/identifiability.ts";
import type { CalibrationRequest, QuickRequest } from "../calibration/longTasks.ts";
import type { Outlier } from "../calibration/outliers.ts";
import type { QuickResult } from "../calibration/quickProblem.ts";
import {
  type CalibrationOptions,
  type CalibrationResult,
  usualCalibrationOptions,
} from "../calibration/result.ts";
import type { Component } from "../coating/component.ts";
import { wavelengths, workingGrid } from "../colour/grid.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { InputError } from "../graph/outcome.ts";
import {
  type KeptBands,
  type KeptColours,
  type KeptDrawdowns,
  type KeptTable,
  ownLabels,
} from "./keptTable.ts";
import { type Assumptions, quickProblem, spectralProblem } from "./problems.ts";

/** A drawdown that contradicts the others, and whether it is used all the same. */
export interface Contradicting extends Omit<Outlier, "film"> {
  readonly used: boolean;
}

/** What a kept table gives, by the one way or the other. */
export interface TableCalibration {
  readonly from: "spectra" | "colours";
  readonly status: "accepted" | "accepted with cautions" | "coarse" | "refused";
  /** most severe first */
  readonly findings: readonly Finding[];
  readonly contradicting: readonly Contradicting[];
  /** Undefined when there was nothing to fit. */
  readonly curves: (DoubtfulCurves & { readonly status?: readonly WavelengthStatus[] }) | undefined;
  readonly thicknessUnit: "µm" | "amount";
  /** Undefined when the data do not suffice; `withoutComponent` tells why. */
  readonly component: Component | undefined;
  readonly withoutComponent: string | undefined;
  /** 90 % bands: from the covariance, or from refits when they were asked for and still fit. */
  readonly bands: (CoefficientBands & { readonly from: string }) | undefined;
  /** Refits were made, but for another table or other settings. */
  readonly refitsAreOld: boolean;
  /** Median over the drawdowns of ΔE00 as predicted from the others. */
  readonly predicts: number | undefined;
  /** The whole result, of the one way or the other. */
  readonly spectral: CalibrationResult | undefined;
  readonly quick: QuickResult | undefined;
  /** What was assumed when the table was read. */
  readonly assumptions: readonly string[];
}

interface Settings extends Omit<Assumptions, "paste"> {
  /** what the component is called, and its density and volume solids */
  readonly label: ComponentLabel;
  /** light and observer of the readings; of spectra, those that differences are told for */
  readonly weights: TristimulusWeights;
}

/** What is assumed about readings that are spectra. */
interface SpectralSettings extends Settings {
  /** 1σ of a single reading, in reflectance */
  readonly noise: number;
  readonly options: Pick<CalibrationOptions, "smoothness" | "outliers" | "k2Sigma">;
  readonly refits: KeptBands | null;
}

/** What is assumed about readings that are colours. */
interface QuickSettings extends Settings {
  /** 1σ of each of L*, a*, b* */
  readonly labSigma: number;
}

const grid = wavelengths(workingGrid);

/**
 * Calibrates from a kept table. Drawdowns that contradict the others are set aside, but for those that the person wants
 * used: then the fit is made again with them, without the others that contradict, and none is set aside any more.
 *
 * @param solve makes a calibration, here or elsewhere   @throws InputError for what can be mended in the table
 */
export async function calibrateSpectra(
  kept: KeptDrawdowns,
  { label, weights, noise, options, refits, ...rest }: SpectralSettings,
  solve: (args: CalibrationRequest) => Promise<CalibrationResult>,
): Promise<TableCalibration> {
  const solved = (without: readonly string[], outliers: CalibrationOptions["outliers"]) =>
    solve({
      problem: mendable(() => spectralProblem(kept, { paste: label, ...rest }, noise, without)),
      options: { ...usualCalibrationOptions, ...options, outliers },
      wavelengths: grid,
      weights,
    });
  const wanted = new Set(ownLabels(kept.films).filter((_, f) => kept.films[f].always));
  const first = await solved([], options.outliers);
  const contradicting = first.outliers.map(({ film, ...judged }) => ({
    ...judged,
    used: wanted.has(judged.label),
  }));
  const aside = contradicting.flatMap(({ label: one, used }) => (used ? [] : [one]));
  const result = aside.length === contradicting.length ? first : await solved(aside, "keep");
  const still =
    result === first
      ? []
      : first.findings.filter(
          ({ code, drawdowns }) => code === "outlier" && aside.some((one) => drawdowns.includes(one)),
        );
  const findings = mostSevereFirst([...still, ...result.findings, ...remarksOn(kept)]);
  const errors = result.drawdowns
    .flatMap(({ used, leaveOneOut }) => (used && leaveOneOut !== undefined ? [leaveOneOut] : []))
    .sort((a, b) => a - b);
  const { curves, status } = result;
  const refitted = refits !== null && refits.fits === fingerprint(curves);
  return {
    from: "spectra",
    status:
      status === "accepted" && findings.some(({ severity }) => severity === "caution")
        ? "accepted with cautions"
        : status,
    ...{ findings, contradicting, curves },
    thicknessUnit: result.thicknessUnit,
    ...attempt(() => calibratedComponent(result, label)),
    // Of a refused fit the doubt is not known either: what is not settled has no band.
    bands: curves && status !== "refused" ? bandsOfCurves(curves, refitted ? refits : null) : undefined,
    refitsAreOld: refits !== null && !refitted,
    predicts: errors[Math.floor(errors.length / 2)],
    ...{ spectral: result, quick: undefined, assumptions: kept.notes },
  };
}

/**
 * Coarse K and S from a kept table of colours.
 *
 * @param solve makes a calibration, here or elsewhere   @throws InputError for what can be mended in the table
 */
export async function calibrateColours(
  kept: KeptColours,
  { label, weights, labSigma, ...rest }: QuickSettings,
  solve: (args: QuickRequest) => Promise<QuickResult>,
): Promise<TableCalibration> {
  const problem = mendable(() => quickProblem(kept, { paste: label, ...rest }, labSigma, weights));
  const result = await solve({ problem, weights, wavelengths: grid });
  const curves = result.drawdowns.length > 0 ? coarseCurves(result) : undefined;
  return {
    ...{ from: "colours", status: result.status, contradicting: [], curves, thicknessUnit: "µm" },
    findings: mostSevereFirst([...result.findings, ...remarksOn(kept)]),
    ...attempt(() => coarseComponent(result, label)),
    bands: curves && result.status !== "refused" ? bandsOfCurves(curves, null, result) : undefined,
    ...{ refitsAreOld: false, predicts: result.expectedError, spectral: undefined, quick: result },
    assumptions: kept.notes,
  };
}

/** What the table itself gives reason to say. */
function remarksOn({ films }: KeptTable<unknown>): Finding[] {
  const { findings, add } = gathering();
  const labels = ownLabels(films);
  const twice = labels.filter((label, f) => label !== films[f].label);
  if (twice.length > 0) {
    add(
      "same-label",
      "caution",
      `Several drawdowns have the same label; the later ones were numbered: ${listOf(twice)}.`,
      twice,
    );
  }
  const unread = labels.filter((_, f) => films[f].use && films[f].readings.length === 0);
  if (unread.length > 0) {
    add(
      "nothing-to-fit",
      "note",
      `${listOf(unread)} ${unread.length === 1 ? "has" : "have"} no reading yet and ${unread.length === 1 ? "is" : "are"} passed over.`,
      unread,
    );
  }
  return findings;
}

/** A component, or in words why there is none. */
function attempt(make: () => Component): Pick<TableCalibration, "component" | "withoutComponent"> {
  try {
    return { component: withFiniteSigma(make()), withoutComponent: undefined };
  } catch (error) {
    if (!(error instanceof RangeError || error instanceof TypeError)) throw error;
    return { component: undefined, withoutComponent: error.message };
  }
}

/** Faults of the table as something that can be mended in it. @throws InputError */
function mendable<T>(work: () => T): T {
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
