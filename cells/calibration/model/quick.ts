import type { ComponentLabel } from "../../../src/calibration/calibratedComponent.ts";
import type { QuickArgs } from "../../../src/calibration/calibrationTasks.ts";
import type { PasteLabel } from "../../../src/calibration/compose.ts";
import { problemFromTable } from "../../../src/calibration/fromTable.ts";
import type { QuickProblem, QuickResult } from "../../../src/calibration/quick.ts";
import { type Component, checkComponent } from "../../../src/coating/component.ts";
import { wavelengths, workingGrid } from "../../../src/colour/grid.ts";
import type { TristimulusWeights } from "../../../src/colour/weights.ts";
import { smoothestCurve } from "../../../src/curves/smoothestCurve.ts";
import type { ComputeContext } from "../../../src/graph/defineCell.ts";
import type { SurfaceConstants } from "../../../src/optics/interface.ts";
import { type KeptColour, type KeptColours, ownLabels } from "./drawdowns.ts";
import { mendable } from "./spectra.ts";

/** What is assumed about paste, surface and readings. */
export interface QuickSettings {
  readonly paste: PasteLabel;
  readonly surface: SurfaceConstants;
  /** 1σ of each of L*, a*, b* */
  readonly labSigma: number;
  /** light and observer of the readings */
  readonly weights: TristimulusWeights;
}

/** Coarse K and S from a kept table of colours. */
export function calibrateColours(
  kept: KeptColours,
  known: readonly Component[],
  settings: QuickSettings,
  context: ComputeContext,
): Promise<QuickResult> {
  const problem = mendable(() => quickProblem(kept, known, settings));
  return context.run<QuickResult>("quick-calibration", {
    problem,
    weights: settings.weights,
    wavelengths: wavelengths(workingGrid),
  } satisfies QuickArgs);
}

/**
 * The quick calibration's problem of a kept table. The bare card is near grey, so that the smoothest curve with its Lab
 * stands in for its spectrum; films that are left out or have no reading are passed over.
 *
 * @throws RangeError in plain words, as problemFromTable; also for laid amounts, which give no K and S per µm
 */
export function quickProblem(
  kept: KeptColours,
  known: readonly Component[],
  { paste, surface, labSigma, weights }: QuickSettings,
): QuickProblem {
  const labels = ownLabels(kept.films);
  const films = kept.films.flatMap((film, f) =>
    film.use && film.readings.length > 0 ? [{ ...film, label: labels[f] }] : [],
  );
  const laid = films.find(({ thickness }) => thickness.kind === "stated" && thickness.basis === "amount");
  if (laid) {
    throw new RangeError(
      `${laid.label}: a laid amount gives no thickness in µm, and colours alone need one: measure it, or choose "not known"`,
    );
  }
  const n = weights.x.length;
  const standIn = new Float64Array(n);
  const curve = ({ ground, specular }: KeptColour, reflectance: Float64Array) => ({
    ...{ ground, specular, reflectance, spread: standIn, repeats: 1 },
  });
  const spectral = problemFromTable(
    {
      components: kept.components,
      // The films' readings are put in below; here only the grounds, the compositions and the thicknesses are made.
      films: films.map((film) => ({
        ...film,
        readings: film.readings.map((reading) => curve(reading, standIn)),
      })),
      bare: meanColours(kept.bare).map((reading) =>
        curve(reading, smoothestCurve(reading.Lab, weights).reflectance),
      ),
    },
    paste,
    known,
    { surface, noise: 0.01 },
  );
  return {
    companions: spectral.companions,
    grounds: spectral.grounds,
    surface,
    labSigma,
    drawdowns: spectral.drawdowns.map(({ label, fractions, thickness, readings }, f) => ({
      label,
      fractions,
      thickness,
      readings: readings.map(({ ground, specular }, q) => ({
        ground,
        specular,
        Lab: Float64Array.from(films[f].readings[q].Lab),
      })),
    })),
  };
}

/** Repeats over one ground in one mode, averaged. */
function meanColours(readings: readonly KeptColour[]): KeptColour[] {
  const groups = new Map<string, KeptColour[]>();
  for (const reading of readings) {
    const key = `${reading.ground.trim().toLowerCase()} ${reading.specular}`;
    groups.set(key, [...(groups.get(key) ?? []), reading]);
  }
  return [...groups.values()].map((group) => {
    const mean = (k: 0 | 1 | 2) => group.reduce((sum, { Lab }) => sum + Lab[k] / group.length, 0);
    return { ...group[0], Lab: [mean(0), mean(1), mean(2)] };
  });
}

/** Curves of a coarse result with the 1σ that their logarithms have. */
export function coarseCurves({
  absorption,
  scattering,
  absorptionLogSigma,
  scatteringLogSigma,
}: QuickResult) {
  return {
    absorption,
    scattering,
    absorptionSigma: absorption.map((K, i) => K * absorptionLogSigma[i]),
    scatteringSigma: scattering.map((S, i) => S * scatteringLogSigma[i]),
  };
}

/**
 * A coarse component: its provenance says that it was made from colours alone, and how far off it is to be expected.
 *
 * @throws RangeError when the calibration was refused or the label cannot be
 */
export function coarseComponent(result: QuickResult, label: ComponentLabel): Component {
  if (result.status === "refused") {
    const reason = result.findings.find(({ severity }) => severity === "refused")?.text ?? "";
    throw new RangeError(
      `the calibration of ${label.name} was refused, so no component comes of it: ${reason}`,
    );
  }
  const { by, when, ...rest } = label;
  const names = result.drawdowns.map((drawdown) => drawdown.label);
  const error = result.expectedError;
  const component: Component = {
    ...rest,
    ...coarseCurves(result),
    provenance: {
      kind: "calibrated",
      by,
      when,
      note:
        `coarse: from colours alone (Lab), ${names.length} drawdown${names.length === 1 ? "" : "s"} (${names.join(", ")}); ` +
        (error === undefined
          ? "how far off it is cannot be told from one drawdown"
          : `each predicted from the others within ΔE00 ${error.toFixed(1)} (median)`),
    },
  };
  checkComponent(component);
  return component;
}
