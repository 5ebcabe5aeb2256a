import * as v from "valibot";
import type { Component } from "../../src/coating/component.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { defineCell } from "../../src/graph/defineCell.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { PigmentSet } from "../../src/ports/pigmentSet.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import type { CoefficientBands } from "../../src/solve/calibration/bootstrap.ts";
import { calibratedComponent } from "../../src/solve/calibration/calibratedComponent.ts";
import type { CalibrateArgs, RefitArgs } from "../../src/solve/calibration/calibrationTasks.ts";
import { type ComponentComparison, compareComponents } from "../../src/solve/calibration/compare.ts";
import { problemFromTable } from "../../src/solve/calibration/fromTable.ts";
import { type CalibrationResult, usualCalibrationOptions } from "../../src/solve/calibration/result.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import {
  type KeptBands,
  type KeptDrawdowns,
  keptBandsSchema,
  keptDrawdownsSchema,
  tableOf,
} from "./defineDrawdowns.ts";

/** A calibration with the component it gives and how that compares. */
export interface Calibration {
  readonly result: CalibrationResult;
  /** Undefined when the data do not suffice; `withoutComponent` tells why. */
  readonly component: Component | undefined;
  readonly withoutComponent: string | undefined;
  /** 90 % bands: from the covariance, or from refits when they were asked for and still fit. */
  readonly bands: { readonly low: Curves; readonly high: Curves; readonly from: string } | undefined;
  readonly comparison: { readonly with: string; readonly figures: ComponentComparison } | undefined;
  readonly viewing: Pick<Viewing, "weights" | "surface" | "gamut">;
  readonly pigments: PigmentSet;
  /** Median over the drawdowns of ΔE00 as predicted from the others. */
  readonly predicts: number | undefined;
}

interface Curves {
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
}

const grid = wavelengths(workingGrid);
/** Half-width of a 90 % band in standard deviations. */
const z90 = 1.645;

export const calibration = defineCell<{ pigments: PigmentSet; viewing: Viewing | undefined }>()({
  kind: "calibration",
  label: "Calibration",
  about:
    "K and S of a new paste, per µm of dry film, from drawdowns over a black and white card, with error bars and a verdict on " +
    "whether the data suffice. A good one becomes a component of your pigment set.",
  source:
    "Start: Walowit, McCarthy, Berns 1987; films: Kubelka 1948; bounded weighted least squares; refits: Efron 1979",
  inputs: {
    pigments: { type: "pigment-set", label: "Known components" },
    viewing: { type: "viewing", label: "Viewing", optional: true },
  },
  output: "calibration",
  parameters: {
    drawdowns: {
      type: "value",
      label: "Drawdowns",
      schema: v.nullable(keptDrawdownsSchema),
      initial: null as KeptDrawdowns | null,
    },
    name: { type: "text", label: "Name of the paste", initial: "New paste", maxLength: 120 },
    colourIndex: { type: "text", label: "Colour Index name, if known", initial: "", maxLength: 40 },
    density: {
      type: "number",
      label: "Density",
      unit: "g/mL",
      min: 0.5,
      max: 6,
      step: 0.01,
      digits: 2,
      initial: 1.1,
    },
    volumeSolids: {
      type: "number",
      label: "Volume solids",
      unit: "%",
      min: 1,
      max: 100,
      step: 1,
      initial: 30,
    },
    by: { type: "text", label: "Measured by", initial: "", maxLength: 120 },
    when: { type: "text", label: "Measured on", initial: "", maxLength: 40 },
    noise: {
      type: "number",
      label: "Noise of one reading",
      unit: "% reflectance",
      help: "About 0.2 % for a hand-held instrument on a drawdown (common practice).",
      min: 0.01,
      max: 5,
      step: 0.05,
      digits: 2,
      initial: 0.2,
    },
    externalReflection: {
      type: "number",
      label: "Surface reflection k1",
      min: 0,
      max: 0.2,
      step: 0.005,
      initial: 0.04,
    },
    internalReflection: {
      type: "number",
      label: "Inner reflection k2",
      min: 0,
      max: 0.9,
      step: 0.01,
      initial: 0.6,
    },
    estimateK2: {
      type: "toggle",
      label: "Find k2 from the data as well",
      help: "Only with several thicknesses over both grounds.",
      initial: false,
    },
    smooth: {
      type: "choice",
      label: "Smooth along the spectrum",
      options: [
        { value: "none", label: "no: every wavelength by itself" },
        { value: "cross-validated", label: "yes, as much as the data bear" },
      ],
      initial: "none",
    },
    outliers: {
      type: "choice",
      label: "Drawdowns that contradict all others",
      options: [
        { value: "set aside", label: "are set aside and named" },
        { value: "keep", label: "are used all the same" },
      ],
      initial: "set aside",
    },
    compareWith: { type: "text", label: "Compare with", initial: "", maxLength: 64 },
    refits: {
      type: "value",
      label: "Bands from refits",
      schema: v.nullable(keptBandsSchema),
      initial: null as KeptBands | null,
    },
  },
  compute: async ({ pigments, viewing }, p, context): Promise<Calibration> => {
    const { args, weights, surface } = questionOf(pigments, viewing, p);
    for (const note of p.drawdowns?.notes ?? []) context.note(note);
    const result = await context.run<CalibrationResult>("calibrate", args);
    let component: Component | undefined;
    let withoutComponent: string | undefined;
    try {
      component = calibratedComponent(result, {
        id: idOf(p.name),
        name: p.name,
        role: "paste",
        colourIndex: p.colourIndex || undefined,
        density: p.density,
        volumeSolids: p.volumeSolids / 100,
        by: p.by || undefined,
        when: p.when || undefined,
      });
    } catch (error) {
      withoutComponent = (error as Error).message;
    }
    const errors = result.drawdowns
      .flatMap(({ used, leaveOneOut }) => (used && leaveOneOut !== undefined ? [leaveOneOut] : []))
      .sort((a, b) => a - b);
    return {
      result,
      component,
      withoutComponent,
      bands: bandsOf(result, p.refits),
      comparison: component && compare(component, pigments, p.compareWith, weights, surface),
      viewing: { weights, surface, gamut: viewing?.gamut ?? "srgb" },
      pigments,
      predicts: errors.length > 0 ? errors[Math.floor(errors.length / 2)] : undefined,
    };
  },
  actions: {
    refit: {
      label: "Check the error bars by 200 refits",
      run: async ({ pigments, viewing }, p, context) => {
        if (!pigments) throw new InputError("Link a pigment set first", { field: "pigments" });
        const result = await context.run<CalibrationResult>(
          "calibrate",
          questionOf(pigments, viewing, p).args,
        );
        if (!result.fit || result.status === "refused") {
          throw new InputError("There is no result whose error bars could be checked", {
            field: "drawdowns",
          });
        }
        const args: RefitArgs = { fit: result.fit, seed: 1, refits: 200, level: 0.9 };
        const bands = await context.run<CoefficientBands>("calibration-refits", args);
        const kept = ({ low, high }: CoefficientBands["absorption"]) => ({ low: [...low], high: [...high] });
        return {
          refits: {
            absorption: kept(bands.absorption),
            scattering: kept(bands.scattering),
            fits: fingerprint(result),
          },
        };
      },
    },
  },
  view: () => import("./view.ts"),
  summarise: ({ result, component, predicts }) => ({
    status: result.status,
    verdict: result.findings.map(({ severity, text }) => `${severity}: ${text}`),
    absorption: result.curves && [...result.curves.absorption],
    scattering: result.curves && [...result.curves.scattering],
    absorptionSigma: result.curves && [...result.curves.absorptionSigma],
    scatteringSigma: result.curves && [...result.curves.scatteringSigma],
    predictsWithin: predicts,
    component: component?.name,
  }),
  quantities: ({ predicts, result, comparison }) => [
    difference(
      "predicts",
      "ΔE00 of a drawdown as predicted from the others",
      predicts,
      "not to be said from these panels",
    ),
    amount("drawdowns", "drawdowns used", result.drawdowns.filter((drawdown) => drawdown.used).length, "", 0),
    amount("strength", "relative tinting strength", comparison && 100 * comparison.figures.strength, "%"),
  ],
});

function questionOf(
  pigments: PigmentSet,
  viewing: Viewing | undefined,
  p: {
    drawdowns: KeptDrawdowns | null;
    name: string;
    density: number;
    volumeSolids: number;
    noise: number;
    externalReflection: number;
    internalReflection: number;
    estimateK2: boolean;
    smooth: "none" | "cross-validated";
    outliers: "set aside" | "keep";
  },
) {
  if (!p.drawdowns) {
    throw new InputError("There are no drawdowns yet", {
      field: "drawdowns",
      wayOut: "Load a table of drawdowns; “What to draw down” says what is needed",
    });
  }
  const surface = { externalReflection: p.externalReflection, internalReflection: p.internalReflection };
  const weights = viewing?.weights ?? weightsFor("1964-10", "D65");
  const problem = problemFromTable(
    tableOf(p.drawdowns),
    { name: p.name, density: p.density, volumeSolids: p.volumeSolids / 100 },
    pigments.components,
    { surface, noise: p.noise / 100 },
  );
  const args: CalibrateArgs = {
    problem,
    options: {
      ...usualCalibrationOptions,
      smoothness: p.smooth,
      outliers: p.outliers,
      k2Sigma: p.estimateK2 ? 0.1 : undefined,
    },
    wavelengths: grid,
    weights,
  };
  return { args, weights, surface };
}

function bandsOf(result: CalibrationResult, refits: KeptBands | null): Calibration["bands"] {
  const { curves } = result;
  if (!curves) return undefined;
  if (refits && refits.fits === fingerprint(result)) {
    const side = (which: "low" | "high") => ({
      absorption: Float64Array.from(refits.absorption[which]),
      scattering: Float64Array.from(refits.scattering[which]),
    });
    return { low: side("low"), high: side("high"), from: "200 refits" };
  }
  const shifted = (sign: number) => ({
    absorption: curves.absorption.map((K, i) => Math.max(0, K + sign * z90 * curves.absorptionSigma[i])),
    scattering: curves.scattering.map((S, i) => Math.max(0, S + sign * z90 * curves.scatteringSigma[i])),
  });
  return { low: shifted(-1), high: shifted(1), from: "the fit" };
}

/** Tells whether kept bands belong to this result. */
function fingerprint({ curves }: CalibrationResult): string {
  const total = (values: ArrayLike<number> | undefined) =>
    Array.from(values ?? []).reduce((sum, value, i) => sum + value * (i + 1), 0);
  return `${total(curves?.absorption).toPrecision(10)} ${total(curves?.scattering).toPrecision(10)}`;
}

function compare(
  fresh: Component,
  pigments: PigmentSet,
  id: string,
  weights: Viewing["weights"],
  surface: Viewing["surface"],
): Calibration["comparison"] {
  const existing = pigments.components.find((component) => component.id === id);
  if (!existing) return undefined;
  const whitest = pigments.components
    .filter((component) => component.role !== "binder")
    .reduce((best, other) => (lightness(other) > lightness(best) ? other : best));
  return {
    with: existing.name,
    figures: compareComponents(existing, fresh, whitest, 0.05, weights, surface),
  };
}

/** How white a component is: scattering over absorption in the middle of the spectrum. */
function lightness({ absorption, scattering }: Component): number {
  const i = Math.floor(absorption.length / 2);
  return scattering[i] / (absorption[i] + 1e-9);
}

/** An id from a name: lower-case letters, digits and hyphens. */
function idOf(name: string): string {
  const id = name
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 64);
  return id || "new-paste";
}
