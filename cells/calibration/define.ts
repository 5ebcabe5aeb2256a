import type { CoefficientBands } from "../../src/calibration/bootstrap.ts";
import { calibratedComponent } from "../../src/calibration/calibratedComponent.ts";
import type { RefitArgs } from "../../src/calibration/calibrationTasks.ts";
import type { Finding } from "../../src/calibration/finding.ts";
import type { WavelengthStatus } from "../../src/calibration/identifiability.ts";
import type { QuickResult } from "../../src/calibration/quick.ts";
import type { CalibrationResult } from "../../src/calibration/result.ts";
import type { Component } from "../../src/coating/component.ts";
import { defineCell } from "../../src/graph/defineCell.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { PigmentSet } from "../../src/ports/pigmentSet.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { type Curves, curveBands, type DoubtfulCurves, fingerprint } from "./model/bands.ts";
import { type Comparison, compareWith } from "./model/comparison.ts";
import { parameters } from "./model/parameters.ts";
import { calibrateColours, coarseComponent, coarseCurves } from "./model/quick.ts";
import {
  type Contradicting,
  calibrateSpectra,
  remarksOn,
  type SpectralCalibration,
} from "./model/spectra.ts";

/** A calibration with the component it gives and how that compares. */
export interface Calibration {
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
  readonly bands: { readonly low: Curves; readonly high: Curves; readonly from: string } | undefined;
  /** Refits were made, but for another table or other settings. */
  readonly refitsAreOld: boolean;
  readonly comparison: Comparison | undefined;
  readonly viewing: Pick<Viewing, "weights" | "surface" | "gamut" | "sheen">;
  readonly pigments: PigmentSet;
  /** Median over the drawdowns of ΔE00 as predicted from the others. */
  readonly predicts: number | undefined;
  /** The whole result, of the one way or the other. */
  readonly spectral: CalibrationResult | undefined;
  readonly quick: QuickResult | undefined;
  /** What was assumed when the table was read. */
  readonly assumptions: readonly string[];
}

export const calibration = defineCell<{ pigments: PigmentSet; viewing: Viewing | undefined }>()({
  kind: "calibration",
  label: "Calibration",
  about:
    "K and S of a new paste, per µm of dry film, from drawdowns over a black and white card, with error bars and a verdict on " +
    "whether the data suffice. Colours alone (Lab) give a coarse one. A good one becomes a component of your pigment set.",
  source:
    "Start: Walowit, McCarthy, Berns 1987; films: Kubelka 1948; bounded weighted least squares; refits: Efron 1979",
  inputs: {
    pigments: { type: "pigment-set", label: "Known components" },
    viewing: { type: "viewing", label: "Viewing", optional: true },
  },
  output: "calibration",
  parameters,
  compute: async ({ pigments, viewing }, p, context): Promise<Calibration> => {
    const weights = viewing?.weights ?? weightsFor("1964-10", "D65");
    const surface = { externalReflection: p.externalReflection, internalReflection: p.internalReflection };
    const part = await (p.source === "colours"
      ? fromColours(pigments, p, context)
      : fromSpectra(pigments, viewing, p, context));
    return {
      ...part,
      findings: [...part.findings].sort((a, b) => severity[a.severity] - severity[b.severity]),
      comparison: part.component && compareWith(p.compareWith, part.component, pigments, weights, surface),
      viewing: { weights, surface, gamut: viewing?.gamut ?? "srgb", sheen: viewing?.sheen ?? 0.25 },
      pigments,
    };
  },
  actions: {
    refit: {
      label: "Check the error bars by 200 refits",
      run: async ({ pigments, viewing }, p, context) => {
        if (!pigments) throw new InputError("Link a pigment set first", { field: "pigments" });
        if (p.source === "colours") {
          throw new InputError("The bands of a coarse calibration come from the fit alone", {
            field: "source",
            wayOut: "Measure spectra to have them checked by refits",
          });
        }
        const { result } = await solveSpectra(pigments, viewing, p, context);
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
            fits: fingerprint(result.curves),
          },
        };
      },
    },
  },
  summarise: ({ from, status, findings, curves, component, predicts, contradicting, assumptions }) => ({
    from,
    status,
    verdict: findings.map(({ severity: how, text }) => `${how}: ${text}`),
    contradicting: contradicting.map(({ label, cause, used }) => ({ label, cause, used })),
    absorption: curves && [...curves.absorption],
    scattering: curves && [...curves.scattering],
    absorptionSigma: curves && [...curves.absorptionSigma],
    scatteringSigma: curves && [...curves.scatteringSigma],
    predictsWithin: predicts,
    component: component?.name,
    assumptions,
  }),
  quantities: ({ predicts, spectral, quick, comparison }) => [
    difference(
      "predicts",
      "ΔE00 of a drawdown as predicted from the others",
      predicts,
      "not to be said from these panels",
    ),
    amount(
      "drawdowns",
      "drawdowns used",
      spectral ? spectral.drawdowns.filter((drawdown) => drawdown.used).length : quick?.drawdowns.length,
      "",
      0,
    ),
    amount(
      "strength",
      "relative tinting strength",
      comparison?.figures && 100 * comparison.figures.strength,
      "%",
    ),
  ],
});

const severity = { refused: 0, caution: 1, note: 2 } as const;

type Settings = ParameterValues<typeof parameters>;
type Part = Omit<Calibration, "comparison" | "viewing" | "pigments">;
type Context = Parameters<typeof calibrateSpectra>[4];

function solveSpectra(
  pigments: PigmentSet,
  viewing: Viewing | undefined,
  p: Settings,
  context: Context,
): Promise<SpectralCalibration> {
  if (!p.drawdowns) throw nothingYet("drawdowns");
  return calibrateSpectra(
    p.drawdowns,
    pigments.components,
    viewing?.weights ?? weightsFor("1964-10", "D65"),
    {
      ...measuring(p),
      noise: p.noise / 100,
      options: {
        smoothness: p.smooth,
        outliers: p.outliers,
        k2Sigma: p.estimateK2 ? 0.1 : undefined,
      },
    },
    context,
  );
}

async function fromSpectra(
  pigments: PigmentSet,
  viewing: Viewing | undefined,
  p: Settings,
  context: Context,
): Promise<Part> {
  const { result, findings, contradicting } = await solveSpectra(pigments, viewing, p, context);
  const errors = result.drawdowns
    .flatMap(({ used, leaveOneOut }) => (used && leaveOneOut !== undefined ? [leaveOneOut] : []))
    .sort((a, b) => a - b);
  const refitted = p.refits !== null && p.refits.fits === fingerprint(result.curves);
  return {
    from: "spectra",
    status:
      result.status === "accepted" && findings.some(cautious) ? "accepted with cautions" : result.status,
    findings,
    contradicting,
    curves: result.curves,
    thicknessUnit: result.thicknessUnit,
    ...attempt(() => finite(calibratedComponent(result, labelOf(p)))),
    // Of a refused fit the doubt is not known either: what is not settled has no band.
    bands:
      result.curves && result.status !== "refused"
        ? curveBands(result.curves, refitted ? p.refits : null)
        : undefined,
    refitsAreOld: p.refits !== null && !refitted,
    predicts: errors.length > 0 ? errors[Math.floor(errors.length / 2)] : undefined,
    spectral: result,
    quick: undefined,
    assumptions: p.drawdowns?.notes ?? [],
  };
}

async function fromColours(pigments: PigmentSet, p: Settings, context: Context): Promise<Part> {
  if (!p.colours) throw nothingYet("colours");
  const weights = weightsFor(p.readObserver, p.readIlluminant);
  const result = await calibrateColours(
    p.colours,
    pigments.components,
    { ...measuring(p), labSigma: p.colourError, weights },
    context,
  );
  const curves = result.drawdowns.length > 0 ? coarseCurves(result) : undefined;
  return {
    from: "colours",
    status: result.status,
    findings: [...result.findings, ...remarksOn(p.colours)],
    contradicting: [],
    curves,
    thicknessUnit: "µm",
    ...attempt(() => finite(coarseComponent(result, labelOf(p)))),
    bands: curves && result.status !== "refused" ? curveBands(curves, null, result) : undefined,
    refitsAreOld: false,
    predicts: result.expectedError,
    spectral: undefined,
    quick: result,
    assumptions: p.colours.notes,
  };
}

function cautious({ severity: how }: Finding): boolean {
  return how === "caution";
}

function measuring(p: Settings) {
  return {
    paste: { name: p.name, density: p.density, volumeSolids: p.volumeSolids / 100 },
    surface: { externalReflection: p.externalReflection, internalReflection: p.internalReflection },
  };
}

function labelOf(p: Settings) {
  return {
    id: idOf(p.name),
    name: p.name.trim() || "New paste",
    role: "paste",
    colourIndex: p.colourIndex || undefined,
    density: p.density,
    volumeSolids: p.volumeSolids / 100,
    by: p.by || undefined,
    when: p.when || undefined,
  } as const;
}

/** A component, or in words why there is none. */
function attempt(make: () => Component): Pick<Calibration, "component" | "withoutComponent"> {
  try {
    return { component: make(), withoutComponent: undefined };
  } catch (error) {
    if (!(error instanceof RangeError || error instanceof TypeError)) throw error;
    return { component: undefined, withoutComponent: error.message };
  }
}

/** Where nothing is known of a coefficient its σ is infinite; a notebook keeps numbers, so that a very wide one stands for it. */
function finite(component: Component): Component {
  const capped = (sigma: Float64Array | undefined, values: Float64Array) => {
    const most = 10 * Math.max(...values, 1e-3);
    return sigma?.map((one) => (Number.isFinite(one) ? one : most));
  };
  return {
    ...component,
    absorptionSigma: capped(component.absorptionSigma, component.absorption),
    scatteringSigma: capped(component.scatteringSigma, component.scattering),
  };
}

function nothingYet(field: "drawdowns" | "colours"): InputError {
  return new InputError("There are no drawdowns yet", {
    toGive: true,
    field,
    wayOut: "Load a table of drawdowns or add them by hand; “What to draw down” says what is needed",
  });
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
