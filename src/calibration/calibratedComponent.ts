import { type Component, checkComponent } from "../coating/component.ts";
import { plural } from "../words/plural.ts";
import type { DoubtfulCurves } from "./bands.ts";
import type { Finding } from "./finding.ts";
import type { QuickResult } from "./quickProblem.ts";
import type { CalibrationResult } from "./result.ts";

/** What a component needs besides K and S. */
export interface ComponentLabel {
  readonly id: string;
  readonly name: string;
  readonly role: Component["role"];
  readonly colourIndex?: string;
  /** g/mL */
  readonly density: number;
  /** 0…1 */
  readonly volumeSolids: number;
  readonly costPerMl?: number;
  readonly lightfastness?: string;
  readonly by?: string;
  /** date as written by the person */
  readonly when?: string;
}

/**
 * A component ready for recipes, with its uncertainty and where it comes from.
 *
 * @throws RangeError when the calibration was refused or counts in amounts instead of µm, or the label cannot be
 */
export function calibratedComponent(result: CalibrationResult, label: ComponentLabel): Component {
  const { curves, status, thicknessUnit } = result;
  if (status === "refused" || curves === undefined) throw refusal(result, label);
  if (thicknessUnit !== "µm") {
    throw new RangeError(
      `K and S of ${label.name} are per unit of the laid amount, not per µm: measure one film before using it in recipes`,
    );
  }
  return componentOf(label, curves, noteOf(result));
}

/**
 * A coarse component: its provenance says that it was made from colours alone, and how far off it is to be expected.
 *
 * @throws RangeError when the calibration was refused or the label cannot be
 */
export function coarseComponent(result: QuickResult, label: ComponentLabel): Component {
  if (result.status === "refused") throw refusal(result, label);
  const names = result.drawdowns.map((drawdown) => drawdown.label);
  const error = result.expectedError;
  return componentOf(
    label,
    coarseCurves(result),
    `coarse: from colours alone (Lab), ${plural(names.length, "drawdown")} (${names.join(", ")}); ` +
      (error === undefined
        ? "how far off it is cannot be told from one drawdown"
        : `each predicted from the others within ΔE00 ${error.toFixed(1)} (median)`),
  );
}

/** Curves of a coarse result with the 1σ that their logarithms have. */
export function coarseCurves(result: QuickResult): DoubtfulCurves {
  const { absorption, scattering, absorptionLogSigma, scatteringLogSigma } = result;
  return {
    absorption,
    scattering,
    absorptionSigma: absorption.map((K, i) => K * absorptionLogSigma[i]),
    scatteringSigma: scattering.map((S, i) => S * scatteringLogSigma[i]),
  };
}

/** Where nothing is known of a coefficient its σ is infinite; a notebook keeps numbers, so that a very wide one stands for it. */
export function withFiniteSigma(component: Component): Component {
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

function componentOf(label: ComponentLabel, curves: DoubtfulCurves, note: string): Component {
  const { by, when, ...rest } = label;
  const component: Component = {
    ...rest,
    absorption: curves.absorption.slice(),
    scattering: curves.scattering.slice(),
    absorptionSigma: curves.absorptionSigma.slice(),
    scatteringSigma: curves.scatteringSigma.slice(),
    provenance: { kind: "calibrated", by, when, note },
  };
  checkComponent(component);
  return component;
}

function refusal({ findings }: { findings: readonly Finding[] }, { name }: ComponentLabel): RangeError {
  const reason = findings.find(({ severity }) => severity === "refused")?.text ?? "";
  return new RangeError(`the calibration of ${name} was refused, so no component comes of it: ${reason}`);
}

function noteOf({ status, outliers, noiseScale, drawdowns, smoothness }: CalibrationResult): string {
  const used = drawdowns.filter((drawdown) => drawdown.used);
  const parts = [`from ${used.length} drawdowns (${used.map(({ label }) => label).join(", ")})`];
  if (outliers.length > 0)
    parts.push(`set aside: ${outliers.map(({ label, cause }) => `${label} (${cause})`).join(", ")}`);
  const errors = used.flatMap(({ leaveOneOut }) => (leaveOneOut === undefined ? [] : [leaveOneOut]));
  if (errors.length > 0)
    parts.push(`each predicted from the others within ΔE00 ${Math.max(...errors).toFixed(2)}`);
  parts.push(`noise ${noiseScale.toFixed(2)} times as stated`);
  if (smoothness.weight > 0) parts.push(`smoothed with weight ${smoothness.weight}`);
  if (status !== "accepted") parts.push("accepted with cautions");
  return parts.join("; ");
}

/** An id from a name: lower-case letters, digits and hyphens. */
export function idFromName(name: string): string {
  const id = name
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 64);
  return id || "new-paste";
}
