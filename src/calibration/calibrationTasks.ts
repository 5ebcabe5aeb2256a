import type { TristimulusWeights } from "../colour/weights.ts";
import { splitting, type TaskContext } from "../fit/taskTypes.ts";
import type { CoefficientBands } from "./bands.ts";
import { type BootstrapReplicates, bandsFromReplicates, bootstrapChunk } from "./bootstrap.ts";
import { calibrate } from "./calibrate.ts";
import type { CalibrationProblem } from "./problem.ts";
import { quickCalibration } from "./quick.ts";
import type { QuickProblem, QuickResult } from "./quickProblem.ts";
import type { CalibrationFit, CalibrationOptions, CalibrationResult } from "./result.ts";

export interface CalibrateArgs {
  readonly problem: CalibrationProblem;
  readonly options: CalibrationOptions;
  /** nm of the curves */
  readonly wavelengths: Float64Array;
  readonly weights?: TristimulusWeights;
}

/** A calibration as a task. */
export function calibrateTask({ problem, options, wavelengths, weights }: CalibrateArgs): CalibrationResult {
  return calibrate(problem, options, wavelengths, weights);
}

export interface QuickArgs {
  readonly problem: QuickProblem;
  /** light and observer of the colours */
  readonly weights: TristimulusWeights;
  /** nm of the curves */
  readonly wavelengths: Float64Array;
}

/** A calibration from colours alone as a task. */
export function quickTask({ problem, weights, wavelengths }: QuickArgs): QuickResult {
  return quickCalibration(problem, weights, wavelengths);
}

export interface RefitArgs {
  readonly fit: CalibrationFit;
  readonly seed: number;
  readonly refits: number;
  /** probability inside the bands, 0…1 */
  readonly level: number;
}

const chunkSize = 10;

/** Bands of K and S from many refits to redrawn readings, in chunks for a pool. The answer does not depend on the chunks. */
export const refitTask = splitting(
  async ({ fit, seed, refits, level }: RefitArgs, context: TaskContext): Promise<CoefficientBands> => {
    const chunks = Array.from({ length: Math.ceil(refits / chunkSize) }, (_, k) => ({
      fit,
      seed,
      first: k * chunkSize,
      count: Math.min(chunkSize, refits - k * chunkSize),
    }));
    let done = 0;
    const replicates = await context.each<BootstrapReplicates>(
      "calibration-refits-part",
      chunks,
      ({ count }) => {
        done += count;
        context.onProgress(done / refits, `${done} of ${refits} refits`);
      },
    );
    return bandsFromReplicates(replicates, level);
  },
);

export { bootstrapChunk as refitPart };
