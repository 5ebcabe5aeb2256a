import type { TristimulusWeights } from "../colour/weights.ts";
import { longTask } from "../tasks/longTask.ts";
import type { CoefficientBands } from "./bands.ts";
import type { CalibrationProblem } from "./problem.ts";
import type { QuickProblem, QuickResult } from "./quickProblem.ts";
import type { RefitRequest } from "./refits.ts";
import type { CalibrationOptions, CalibrationResult } from "./result.ts";

export interface CalibrationRequest {
  readonly problem: CalibrationProblem;
  readonly options: CalibrationOptions;
  /** nm of the curves */
  readonly wavelengths: Float64Array;
  readonly weights?: TristimulusWeights;
}

export interface QuickRequest {
  readonly problem: QuickProblem;
  /** light and observer of the colours */
  readonly weights: TristimulusWeights;
  /** nm of the curves */
  readonly wavelengths: Float64Array;
}

export const calibrationTask = longTask<CalibrationRequest, CalibrationResult>("calibrate");
export const quickTask = longTask<QuickRequest, QuickResult>("quick-calibration");
export const refitTask = longTask<RefitRequest, CoefficientBands>("calibration-refits");
