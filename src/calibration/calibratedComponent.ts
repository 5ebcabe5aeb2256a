import { type Component, checkComponent } from "../coating/component.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";
import type { CalibratedCurves, CalibrationResult } from "./result.ts";

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

/** K and S drawn from their joint distribution: [draw·n + wavelength]. */
export interface CoefficientDraws {
  readonly count: number;
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
}

/**
 * Draws of K and S with their correlations along the spectrum and with each other: what the uncertainty of a recipe or
 * a sweep is computed from. Values below 0 are taken as 0.
 *
 * @param seed the same seed gives the same draws
 */
export function drawCoefficients(curves: CalibratedCurves, count: number, seed: number): CoefficientDraws {
  const { absorption, scattering, covariance } = curves;
  const n = absorption.length;
  const size = 2 * n;
  const factor = choleskyOf(covariance, size);
  const random = seededRandom(seed);
  const draws = { count, absorption: new Float64Array(count * n), scattering: new Float64Array(count * n) };
  const z = new Float64Array(size);
  for (let k = 0; k < count; k++) {
    for (let a = 0; a < size; a++) z[a] = normal(random);
    for (let a = 0; a < size; a++) {
      let value = a < n ? absorption[a] : scattering[a - n];
      for (let b = 0; b <= a; b++) value += factor[a * size + b] * z[b];
      if (a < n) draws.absorption[k * n + a] = Math.max(0, value);
      else draws.scattering[k * n + a - n] = Math.max(0, value);
    }
  }
  return draws;
}

/** Lower triangle L with L·Lᵀ = matrix; a direction without variance gets a column of zeros. */
function choleskyOf(matrix: Float64Array, size: number): Float64Array {
  const factor = new Float64Array(size * size);
  for (let a = 0; a < size; a++) {
    for (let b = 0; b <= a; b++) {
      let sum = matrix[a * size + b];
      for (let e = 0; e < b; e++) sum -= factor[a * size + e] * factor[b * size + e];
      if (a === b) factor[a * size + a] = sum > 1e-12 * matrix[a * size + a] ? Math.sqrt(sum) : 0;
      else factor[a * size + b] = factor[b * size + b] > 0 ? sum / factor[b * size + b] : 0;
    }
  }
  return factor;
}
