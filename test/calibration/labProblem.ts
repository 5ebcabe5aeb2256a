import type { CalibrationProblem } from "../../src/calibration/problem.ts";
import type { QuickProblem } from "../../src/calibration/quickProblem.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import type { TristimulusWeights } from "../../src/colour/weights.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";

/** The same drawdowns as a sensor sees them that gives L*, a*, b* only, with its noise (1σ of each). */
export function labProblemOf(
  problem: CalibrationProblem,
  weights: TristimulusWeights,
  labSigma = 0.3,
  seed = 1,
): QuickProblem {
  const random = seededRandom(seed);
  return {
    ...problem,
    labSigma,
    drawdowns: problem.drawdowns.map((drawdown) => ({
      ...drawdown,
      readings: drawdown.readings.map(({ ground, specular, reflectance }) => ({
        ground,
        specular,
        Lab: reflectanceToLab(reflectance, weights, new Float64Array(3)).map(
          (value) => value + labSigma * normal(random),
        ),
      })),
    })),
  };
}
