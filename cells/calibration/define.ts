import { type CoefficientBands, fingerprint } from "../../src/calibration/bands.ts";
import { idFromName } from "../../src/calibration/calibratedComponent.ts";
import { type Comparison, compareWith } from "../../src/calibration/compare.ts";
import { calibrationTask, quickTask, refitTask } from "../../src/calibration/longTasks.ts";
import {
  calibrateColours,
  calibrateSpectra,
  type TableCalibration,
} from "../../src/drawdowns/calibrateTable.ts";
import { tableVerdict } from "../../src/drawdowns/tableVerdict.ts";
import type { ComputeContext } from "../../src/graph/defineCell.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import type { PigmentSet } from "../../src/ports/pigmentSet.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { parameters } from "./model/parameters.ts";

/** A calibration with what its component is like beside another. */
export interface Calibration extends TableCalibration {
  readonly comparison: Comparison | undefined;
  readonly viewing: Pick<Viewing, "weights" | "surface" | "gamut" | "sheen">;
  readonly pigments: PigmentSet;
}

export const calibration = defineCell({
  kind: "calibration",
  label: "Calibration",
  about:
    "K and S of a new paste, per µm of dry film, from drawdowns over a black and white card, with error bars and a verdict on " +
    "whether the data suffice. Colours alone (Lab) give a coarse one. A good one becomes a component of your pigment set.",
  inputs: {
    pigments: { type: "pigment-set", label: "Known components" },
    viewing: { type: "viewing", label: "Viewing", optional: true },
  },
  tells: ["paste"],
  parameters,
  compute: async ({ pigments, viewing }, p, context): Promise<Calibration> => {
    const weights = weightsOf(viewing);
    const { surface } = assumed(p);
    const part = await (p.source === "colours" ? fromColours : fromSpectra)(pigments, p, context, weights);
    const { component } = part;
    return {
      ...part,
      comparison: component && compareWith(p.compareWith, component, pigments.components, weights, surface),
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
        const { spectral } = await fromSpectra(pigments, p, context, weightsOf(viewing));
        if (!spectral?.fit || spectral.status === "refused") {
          throw new InputError("There is no result whose error bars could be checked", {
            field: "drawdowns",
          });
        }
        const bands = await context.run(refitTask, { fit: spectral.fit, seed: 1, refits: 200, level: 0.9 });
        const kept = ({ low, high }: CoefficientBands["absorption"]) => ({ low: [...low], high: [...high] });
        return {
          refits: {
            absorption: kept(bands.absorption),
            scattering: kept(bands.scattering),
            fits: fingerprint(spectral.curves),
          },
        };
      },
    },
  },
  verdict: (value) => tableVerdict(value),
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

export default calibration;

type Settings = ParameterValues<typeof parameters>;

/** Light and observer that differences are told for. */
function weightsOf(viewing: Viewing | undefined): Viewing["weights"] {
  return viewing?.weights ?? weightsFor("1964-10", "D65");
}

async function fromSpectra(
  { components }: PigmentSet,
  p: Settings,
  context: ComputeContext,
  weights: Viewing["weights"],
): Promise<TableCalibration> {
  if (!p.drawdowns) throw nothingYet("drawdowns");
  const options = {
    smoothness: p.smooth,
    outliers: p.outliers,
    k2Sigma: p.estimateK2 ? 0.1 : undefined,
  };
  return calibrateSpectra(
    p.drawdowns,
    { ...assumed(p), known: components, weights, noise: p.noise / 100, options, refits: p.refits },
    (args) => context.run(calibrationTask, args),
  );
}

async function fromColours(
  { components }: PigmentSet,
  p: Settings,
  context: ComputeContext,
): Promise<TableCalibration> {
  if (!p.colours) throw nothingYet("colours");
  const weights = weightsFor(p.readObserver, p.readIlluminant);
  return calibrateColours(
    p.colours,
    { ...assumed(p), known: components, weights, labSigma: p.colourError },
    (args) => context.run(quickTask, args),
  );
}

/** What the person says of paste and surface. */
function assumed(p: Settings) {
  return {
    label: {
      id: idFromName(p.name),
      name: p.name.trim() || "New paste",
      role: "paste" as const,
      colourIndex: p.colourIndex || undefined,
      density: p.density,
      volumeSolids: p.volumeSolids / 100,
      ...costFrom(p.costPerLitre),
      by: p.by || undefined,
      when: p.when || undefined,
    },
    surface: { externalReflection: p.externalReflection, internalReflection: p.internalReflection },
  };
}

function costFrom(typed: string): { costPerMl?: number } {
  if (typed.trim() === "") return {};
  const cost = Number(typed.trim().replace(",", "."));
  if (!(cost >= 0 && cost <= 1e6)) {
    throw new InputError(`The cost "${typed}" is no amount of money`, {
      field: "costPerLitre",
      wayOut: "Write a number such as 42.50, or nothing",
    });
  }
  return { costPerMl: cost / 1000 };
}

function nothingYet(field: "drawdowns" | "colours"): InputError {
  return new InputError("There are no drawdowns yet", {
    toGive: true,
    field,
    wayOut: "Load a table of drawdowns or add them by hand; “What to draw down” says what is needed",
  });
}
