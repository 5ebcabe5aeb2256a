import type { Compiled, Estimate } from "./compiled.ts";
import { type Fit, fitEstimate } from "./fit.ts";
import { normalEquations, noSmoothness, type Objective, type Smoothness } from "./normalEquations.ts";

/** How well each weight of the smoothness wish predicts readings that were held out. */
export interface SmoothnessChoice {
  readonly weight: number;
  /** mean loss of a held-out reading (½·residual² while small) for each weight tried */
  readonly tried: readonly { readonly weight: number; readonly loss: number }[];
}

const weights = [0, 0.3, 1, 3, 10, 30, 100, 300, 1000, 3000, 10000];
const folds = 5;
const short = { steps: 12, tolerance: 1e-6 };

/**
 * The smoothness wish with its floors set by the largest K and S: below a thousandth of the largest K, a hundredth of
 * the largest S, differences stop to matter.
 */
export function smoothnessOf(weight: number, { n, m }: Compiled, { local }: Estimate): Smoothness {
  let largestK = 0;
  let largestS = 0;
  for (let i = 0; i < n; i++) {
    largestK = Math.max(largestK, local[i * m]);
    largestS = Math.max(largestS, local[i * m + 1]);
  }
  if (weight <= 0 || largestK <= 0 || largestS <= 0) return noSmoothness;
  return { weight, absorptionFloor: 1e-3 * largestK, scatteringFloor: 1e-2 * largestS };
}

/**
 * Chooses the weight by five-fold cross-validation: every fifth reading (spread evenly over wavelengths and panels) is
 * held out in turn, the rest fitted, the held-out readings predicted.
 *
 * @param start a good estimate without smoothness
 * Source: cross-validation, e.g. Stone 1974; the wish is the usual squared second difference (Whittaker 1923).
 */
export function chooseSmoothness(
  compiled: Compiled,
  start: Estimate,
  objective: Objective,
): SmoothnessChoice {
  const { n, readings, inverseSigma } = compiled;
  const held = Array.from({ length: folds }, (_, fold) => {
    const kept = new Float64Array(n * readings);
    const out = new Float64Array(n * readings);
    for (let i = 0; i < n; i++) {
      for (let r = 0; r < readings; r++)
        (i + 2 * r) % folds === fold ? (out[i * readings + r] = 1) : (kept[i * readings + r] = 1);
    }
    return { kept, out };
  });
  const count = inverseSigma.reduce((sum, value) => sum + (value > 0 ? 1 : 0), 0);
  const warm: Fit[] = [];
  const tried = weights.map((weight) => {
    const trial = { ...objective, smoothness: smoothnessOf(weight, compiled, start) };
    let sum = 0;
    held.forEach(({ kept, out }, fold) => {
      warm[fold] = fitEstimate(compiled, warm[fold]?.estimate ?? start, trial, short, kept);
      // Priors do not change with what is held out, so they are taken off the loss.
      const plain = { ...objective, smoothness: noSmoothness };
      const none = new Float64Array(n * readings);
      sum +=
        normalEquations(compiled, warm[fold].estimate, plain, undefined, undefined, out) -
        normalEquations(compiled, warm[fold].estimate, plain, undefined, undefined, none);
    });
    return { weight, loss: sum / Math.max(count, 1) };
  });
  const best = tried.reduce((a, b) => (b.loss < a.loss ? b : a));
  return { weight: best.weight, tried };
}
