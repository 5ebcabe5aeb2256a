import {
  type ArrowSystem,
  clearArrowSystem,
  copyArrowSystem,
  createArrowSystem,
  factorArrow,
  solveFactored,
} from "../fit/arrowSystem.ts";
import type { Compiled, Estimate } from "./compiled.ts";
import { halfBandwidth, normalEquations, type Objective, type ReadingWeights } from "./normalEquations.ts";

/** How a search for the best K, S and thicknesses ended. */
export interface Fit {
  /** "converged": no step lowers the objective any more; "limit": out of steps, still moving */
  readonly status: "converged" | "limit";
  readonly estimate: Estimate;
  /** half the sum of squares at the end */
  readonly cost: number;
  readonly steps: number;
}

/** When to stop searching. */
export interface FitLimits {
  readonly steps: number;
  /** relative fall of the objective below which it counts as standing still */
  readonly tolerance: number;
}

const usualLimits: FitLimits = { steps: 80, tolerance: 1e-9 };

/** Shared unknowns move by at most this much in one step (ln X, k2). */
const longestSharedStep = 0.7;

/**
 * Minimises the objective from a starting estimate: Levenberg-Marquardt steps on the Gauss-Newton normal equations,
 * solved by the arrow's Schur complement; K, S ≥ 0 by projection (an unknown that stands at 0 and is pushed below is
 * held there for the step); k2 kept inside 0…0.95.
 *
 * Source: Levenberg 1944, Marquardt 1963 (damping by the diagonal).
 */
export function fitEstimate(
  compiled: Compiled,
  start: Estimate,
  objective: Objective,
  limits: FitLimits = usualLimits,
  weights?: ReadingWeights,
): Fit {
  const { n, m, p } = compiled;
  const w = halfBandwidth(m, objective.smoothness);
  const system = createArrowSystem(n * m, w, p);
  const trialSystem = createArrowSystem(n * m, w, p);
  let estimate: Estimate = { local: start.local.slice(), shared: start.shared.slice() };
  let trial: Estimate = { local: new Float64Array(n * m), shared: new Float64Array(p) };
  const localStep = new Float64Array(n * m);
  const sharedStep = new Float64Array(p);
  let damping = 1e-4;
  let cost = normalEquations(compiled, estimate, objective, system, undefined, weights);
  let still = 0;
  for (let step = 1; step <= limits.steps; step++) {
    let lowered = false;
    for (let attempt = 0; attempt < 8; attempt++) {
      copyArrowSystem(system, trialSystem);
      holdAtZero(compiled, estimate, trialSystem);
      damp(trialSystem, damping);
      if (!factorArrow(trialSystem)) {
        damping = Math.max(damping * 10, 1e-8);
        continue;
      }
      solveFactored(trialSystem, localStep, sharedStep);
      move(compiled, estimate, localStep, sharedStep, trial);
      const trialCost = normalEquations(compiled, trial, objective, undefined, undefined, weights);
      if (trialCost < cost) {
        // A fall of 1e-5 moves an unknown by less than a hundredth of its standard deviation: no news.
        still = cost - trialCost < limits.tolerance * cost + 1e-5 ? still + 1 : 0;
        [estimate, trial] = [trial, estimate];
        lowered = true;
        damping = Math.max(damping * 0.2, 1e-12);
        cost = trialCost;
        break;
      }
      damping = Math.max(damping * 10, 1e-7);
      if (damping > 1e12) break;
    }
    if (!lowered || still >= 2) return { status: "converged", estimate, cost, steps: step };
    cost = normalEquations(compiled, estimate, objective, system, undefined, weights);
  }
  return { status: "limit", estimate, cost, steps: limits.steps };
}

/** The normal equations at an estimate, as a fresh system. */
export function equationsAt(compiled: Compiled, estimate: Estimate, objective: Objective): ArrowSystem {
  const { n, m, p } = compiled;
  const system = createArrowSystem(n * m, halfBandwidth(m, objective.smoothness), p);
  clearArrowSystem(system);
  normalEquations(compiled, estimate, objective, system);
  return system;
}

/** Freezes local unknowns that stand at their lower limit 0 while the objective pushes them further down. */
function holdAtZero({ m, n, localOfGround }: Compiled, { local }: Estimate, system: ArrowSystem): void {
  const isGround = new Uint8Array(m);
  for (const u of localOfGround) if (u >= 0) isGround[u] = 1;
  const { w, p, band, border, localSide } = system;
  const row = w + 1;
  for (let i = 0; i < n; i++) {
    for (let u = 0; u < m; u++) {
      const k = i * m + u;
      if (isGround[u] === 1 || local[k] > 0 || localSide[k] > 0) continue;
      for (let d = 1; d <= Math.min(w, k); d++) band[k * row + d] = 0;
      for (let d = 1; d <= Math.min(w, n * m - 1 - k); d++) band[(k + d) * row + d] = 0;
      for (let q = 0; q < p; q++) border[k * p + q] = 0;
      band[k * row] = Math.max(band[k * row], 1e-300);
      localSide[k] = 0;
    }
  }
}

function damp({ n, w, p, band, corner }: ArrowSystem, damping: number): void {
  const row = w + 1;
  // The floor keeps an unknown that no reading depends on from making the matrix singular; its step is 0.
  for (let k = 0; k < n; k++) band[k * row] += damping * band[k * row] + 1e-200;
  for (let s = 0; s < p; s++) corner[s * p + s] += damping * corner[s * p + s] + 1e-200;
}

/**
 * Takes a step. A small change of K or S is taken as a change of its logarithm, so that a step along "thinner but
 * stronger" stays on the curve K·X = constant; a large one straight, but not below 0 nor to more than ten times.
 */
function move(
  { localOfGround, m, sharedOfK2, typicalThickness }: Compiled,
  from: Estimate,
  localStep: Float64Array,
  sharedStep: Float64Array,
  to: Estimate,
): void {
  const firstGround = localOfGround.reduce((least, u) => (u >= 0 && u < least ? u : least), m);
  for (let k = 0; k < from.local.length; k++) {
    const value = from.local[k];
    const step = localStep[k];
    if (k % m >= firstGround) to.local[k] = value + step;
    else if (Math.abs(step) < 0.5 * value) to.local[k] = value * Math.exp(step / value);
    else to.local[k] = Math.max(0, Math.min(value + step, 10 * value + 0.1 / typicalThickness));
  }
  for (let s = 0; s < from.shared.length; s++) {
    const step = Math.max(-longestSharedStep, Math.min(longestSharedStep, sharedStep[s]));
    to.shared[s] = from.shared[s] + step;
    if (s === sharedOfK2) to.shared[s] = Math.max(0, Math.min(0.95, to.shared[s]));
  }
}
