import { type Component, checkComponent } from "../coating/component.ts";
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
  const { curves, status, drawdowns, thicknessUnit } = result;
  if (status === "refused" || curves === undefined) {
    const reason = result.findings.find(({ severity }) => severity === "refused")?.text ?? "";
    throw new RangeError(
      `the calibration of ${label.name} was refused, so no component comes of it: ${reason}`,
    );
  }
  if (thicknessUnit !== "µm") {
    throw new RangeError(
      `K and S of ${label.name} are per unit of the laid amount, not per µm: measure one film before using it in recipes`,
    );
  }
  const used = drawdowns.filter((drawdown) => drawdown.used).map((drawdown) => drawdown.label);
  const { by, when, ...rest } = label;
  const component: Component = {
    ...rest,
    absorption: curves.absorption.slice(),
    scattering: curves.scattering.slice(),
    absorptionSigma: curves.absorptionSigma.slice(),
    scatteringSigma: curves.scatteringSigma.slice(),
    provenance: { kind: "calibrated", by, when, note: noteOf(result, used) },
  };
  checkComponent(component);
  return component;
}

function noteOf(
  { status, outliers, noiseScale, drawdowns, smoothness }: CalibrationResult,
  used: readonly string[],
): string {
  const parts = [`from ${used.length} drawdowns (${used.join(", ")})`];
  if (outliers.length > 0)
    parts.push(`set aside: ${outliers.map(({ label, cause }) => `${label} (${cause})`).join(", ")}`);
  const errors = drawdowns.flatMap(({ used: isUsed, leaveOneOut }) =>
    isUsed && leaveOneOut !== undefined ? [leaveOneOut] : [],
  );
  if (errors.length > 0)
    parts.push(`each predicted from the others within ΔE00 ${Math.max(...errors).toFixed(2)}`);
  parts.push(`noise ${noiseScale.toFixed(2)} times as stated`);
  if (smoothness.weight > 0) parts.push(`smoothed with weight ${smoothness.weight}`);
  if (status !== "accepted") parts.push("accepted with cautions");
  return parts.join("; ");
}
