import type { SpecularMode } from "../optics/interface.ts";
import type { DoubtfulCurves } from "./bands.ts";
import type { Finding } from "./finding.ts";
import type { WavelengthStatus } from "./identifiability.ts";
import type { Objective } from "./normalEquations.ts";
import type { Outlier } from "./outliers.ts";
import type { CalibrationProblem } from "./problem.ts";
import type { SmoothnessChoice } from "./smoothness.ts";

/** What a person may choose about a calibration. */
export interface CalibrationOptions {
  /** "huber": single readings far off count less; "squares": all count alike */
  readonly loss: "huber" | "squares";
  /** whether the noise of the readings is taken from the residuals or believed as stated */
  readonly noise: "estimated" | "stated";
  /** wish for smooth K and S: none, with a weight chosen by cross-validation, or with a given weight */
  readonly smoothness: "none" | "cross-validated" | number;
  /** 1σ that k2 may differ from the stated value; left out = k2 as stated */
  readonly k2Sigma?: number;
  /** whether drawdowns that contradict all others are set aside */
  readonly outliers: "set aside" | "keep";
  /** whether every drawdown is also predicted from the others */
  readonly leaveOneOut: boolean;
}

export const usualCalibrationOptions: CalibrationOptions = {
  loss: "huber",
  noise: "estimated",
  smoothness: "none",
  outliers: "set aside",
  leaveOneOut: true,
};

/** K and S of the paste's own dry film, 1/µm (or per unit of amount), with 1σ from the covariance. */
export interface CalibratedCurves extends DoubtfulCurves {
  /** correlation of K and S at each wavelength */
  readonly correlation: Float64Array;
  /** covariance of K₀…K_{n−1}, S₀…S_{n−1}, row by row */
  readonly covariance: Float64Array;
  readonly status: readonly WavelengthStatus[];
}

/** One reading beside its fit, both in the mode it was measured in. */
export interface ReadingReport {
  readonly ground: string;
  readonly specular: SpecularMode;
  readonly measured: Float64Array;
  readonly fitted: Float64Array;
  /** as the other drawdowns predict it; undefined when they cannot */
  readonly predicted?: Float64Array;
  /** colour difference measured against `predicted` */
  readonly deltaE?: number;
}

/** One drawdown beside its fit and its prediction from the others. */
export interface DrawdownReport {
  readonly label: string;
  /** false = set aside */
  readonly used: boolean;
  /** dry thickness, µm or amount; Infinity = opaque */
  readonly thickness: number;
  /** 1σ of ln X; 0 for an opaque film */
  readonly thicknessLogSigma: number;
  readonly statedThickness?: number;
  /** 1σ of ln X of the stated thickness */
  readonly statedLogSigma?: number;
  /** root mean square of fitted − measured, in reflectance */
  readonly rms: number;
  readonly readings: readonly ReadingReport[];
  /** ΔE00 between measured and predicted from the others, the worst of its readings, its thickness free within the stated error */
  readonly leaveOneOut?: number;
  /** the same with the thickness exactly as stated */
  readonly leaveOneOutAsStated?: number;
  /** thickness that suits it best ÷ stated thickness, as seen by the others, with 1σ of its logarithm */
  readonly thicknessFactor?: number;
  readonly thicknessFactorLogSigma?: number;
}

/** Where a fit ended, enough to start again from (bootstrap, simulation). Plain data. */
export interface CalibrationFit {
  /** screened, without the drawdowns that were set aside */
  readonly problem: CalibrationProblem;
  readonly k2Sigma?: number;
  readonly objective: Objective;
  readonly local: Float64Array;
  readonly shared: Float64Array;
}

/** K and S of a new paste, how well they are known, and what is to be said about the data. */
export interface CalibrationResult {
  readonly status: "accepted" | "accepted with cautions" | "refused";
  /** most severe first */
  readonly findings: readonly Finding[];
  /** undefined when there was nothing to fit; present but not to be used when refused */
  readonly curves?: CalibratedCurves;
  readonly thicknessUnit: "µm" | "amount";
  readonly drawdowns: readonly DrawdownReport[];
  readonly outliers: readonly Outlier[];
  /** companions that were not known and came out with the paste */
  readonly companions: readonly { name: string; absorption: Float64Array; scattering: Float64Array }[];
  readonly k2: { readonly value: number /** 0 when stated */; readonly sigma: number };
  /** noise of the readings found ÷ stated */
  readonly noiseScale: number;
  readonly smoothness: SmoothnessChoice;
  readonly strengthSigma: number;
  /** shared unknowns (thicknesses, k2) settled by the readings, of how many, and how unequally */
  readonly rank: number;
  readonly unknowns: number;
  readonly condition: number;
  readonly search: { readonly status: "converged" | "limit"; readonly steps: number };
  readonly fit?: CalibrationFit;
}
