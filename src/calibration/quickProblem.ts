import type { SpecularMode } from "../optics/interface.ts";
import type { Finding } from "./finding.ts";
import type { CalibrationProblem, Drawdown } from "./problem.ts";

/** A colour reading on a drawdown: Lab under the light and observer of the calibration. */
export interface LabReading {
  readonly ground: number;
  readonly specular: SpecularMode;
  readonly Lab: ArrayLike<number>;
}

/** Drawdowns of which only colours are known: a hand-held sensor, or a photograph beside a card. */
export interface QuickProblem extends Pick<CalibrationProblem, "companions" | "grounds" | "surface"> {
  readonly drawdowns: readonly Drawdown<LabReading>[];
  /** 1σ of each of L*, a*, b* */
  readonly labSigma: number;
}

/** One drawdown beside its fit. */
export interface QuickReport {
  readonly label: string;
  readonly thickness: number;
  readonly readings: readonly {
    readonly ground: string;
    readonly measured: Float64Array;
    readonly fitted: Float64Array;
    readonly deltaE: number;
  }[];
  /** ΔE00 between measured and predicted from the other drawdowns, the worst of its readings */
  readonly leaveOneOut?: number;
}

/** Coarse K and S. */
export interface QuickResult {
  readonly status: "coarse" | "refused";
  readonly findings: readonly Finding[];
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
  /** 1σ of ln K and ln S */
  readonly absorptionLogSigma: Float64Array;
  readonly scatteringLogSigma: Float64Array;
  /** median over the drawdowns of ΔE00 predicted from the others: the error to expect of a new panel; undefined with one drawdown */
  readonly expectedError?: number;
  readonly drawdowns: readonly QuickReport[];
}
