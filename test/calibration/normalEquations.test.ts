import { describe, expect, test } from "vitest";
import { type Compiled, compile, type Estimate } from "../../src/calibration/compiled.ts";
import {
  halfBandwidth,
  normalEquations,
  noSmoothness,
  type Objective,
} from "../../src/calibration/normalEquations.ts";
import { predictAll } from "../../src/calibration/predict.ts";
import { startEstimate } from "../../src/calibration/start.ts";
import { createArrowSystem } from "../../src/fit/arrowSystem.ts";
import { film, simulationOf, usualDrawdowns, white } from "./benchDesign.ts";
import { seededPaste } from "./seededPastes.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

// Every kind of unknown at once: K and S, an inexact white, inexact grounds, thicknesses stated and not, k2, an opaque
// film, both specular modes, smoothness.
function everything(): { compiled: Compiled; estimate: Estimate } {
  const plan = [
    ...usualDrawdowns("known", [12]),
    ...usualDrawdowns("unknown", [25]).map((one) => ({ ...one, specular: "excluded" as const })),
    film("opaque", [0.3, 0.7, 0], Number.POSITIVE_INFINITY, "opaque"),
  ];
  const simulated = simulateDrawdowns(simulationOf(seededPaste(5), plan, 11));
  const problem = {
    ...simulated,
    companions: simulated.companions.map((companion, c) =>
      c > 0
        ? companion
        : {
            ...companion,
            absorptionSigma: white.absorption.map((value) => 0.1 * value + 1e-4),
            scatteringSigma: white.scattering.map((value) => 0.05 * value),
          },
    ),
  };
  const compiled = compile(problem, 0.05);
  return { compiled, estimate: startEstimate(compiled) };
}

const smoothness = { weight: 3, absorptionFloor: 1e-3, scatteringFloor: 1e-3 };

describe.each([
  ["squares", { huber: Number.POSITIVE_INFINITY, noiseScale: 1, smoothness: noSmoothness }],
  ["squares and smoothness", { huber: Number.POSITIVE_INFINITY, noiseScale: 1.3, smoothness }],
  ["Huber's loss", { huber: 2.5, noiseScale: 1, smoothness: noSmoothness }],
])("normal equations, %s", (_, objective: Objective) => {
  const { compiled, estimate } = everything();
  const { n, m, p } = compiled;
  const system = createArrowSystem(n * m, halfBandwidth(m, objective.smoothness), p);
  normalEquations(compiled, estimate, objective, system);

  /** Value of the objective with one unknown moved; shared ones follow the local ones. */
  const moved = (index: number, by: number): number => {
    const local = estimate.local.slice();
    const shared = estimate.shared.slice();
    if (index < n * m) local[index] += by;
    else shared[index - n * m] += by;
    return normalEquations(compiled, { local, shared }, objective);
  };

  test("the gradient agrees with differences of the objective", () => {
    for (let index = 0; index < n * m + p; index++) {
      const value = index < n * m ? estimate.local[index] : 1;
      const step = 2e-5 * Math.max(Math.abs(value), 1e-5);
      // Richardson's extrapolation of central differences: error of the order of step⁴.
      const slope = (h: number) => (moved(index, h) - moved(index, -h)) / (2 * h);
      const byDifferences = (4 * slope(step) - slope(2 * step)) / 3;
      const own = index < n * m ? -system.localSide[index] : -system.sharedSide[index - n * m];
      // The objective is of the order of 1e4 here, so that rounding leaves about 1e-12·1e4/step.
      const rounding = 4e-12 / step;
      expect(Math.abs(own - byDifferences), `unknown ${index}`).toBeLessThan(1e-6 * Math.abs(own) + rounding);
    }
  });
});

test("the matrix is JᵀJ of the standardised residuals", () => {
  const { compiled, estimate } = everything();
  const { n, m, p, readings } = compiled;
  const objective = { huber: Number.POSITIVE_INFINITY, noiseScale: 1, smoothness: noSmoothness };
  const system = createArrowSystem(n * m, m - 1, p);
  normalEquations(compiled, estimate, objective, system);
  const residualsAt = (index: number, by: number) => {
    const local = estimate.local.slice();
    const shared = estimate.shared.slice();
    if (index < n * m) local[index] += by;
    else shared[index - n * m] += by;
    const out = new Float64Array(n * readings);
    normalEquations(compiled, { local, shared }, objective, undefined, out);
    return out;
  };
  const column = (index: number) => {
    const step = 1e-5 * Math.max(index < n * m ? Math.abs(estimate.local[index]) : 1, 1e-6);
    const [up, down] = [residualsAt(index, step), residualsAt(index, -step)];
    return up.map((value, r) => (value - down[r]) / (2 * step));
  };
  const dot = (a: Float64Array, b: Float64Array) => a.reduce((sum, value, r) => sum + value * b[r], 0);
  const middle = Math.floor(n / 2) * m;
  const local = Array.from({ length: m }, (_, u) => column(middle + u));
  const shared = Array.from({ length: p }, (_, s) => column(n * m + s));
  const near = (own: number, expected: number, scale: number) =>
    expect(Math.abs(own - expected)).toBeLessThan(1e-6 * Math.abs(expected) + 1e-8 * scale);
  for (let u = 0; u < m; u++) {
    for (let v = 0; v <= u; v++) {
      const prior = u === v ? compiled.localPrecision[middle + u] : 0;
      const scale = Math.sqrt(dot(local[u], local[u]) * dot(local[v], local[v]));
      near(system.band[(middle + u) * m + (u - v)] - prior, dot(local[u], local[v]), scale + prior);
    }
    for (let s = 0; s < p; s++) {
      const scale = Math.sqrt(dot(local[u], local[u]) * dot(shared[s], shared[s]));
      near(system.border[(middle + u) * p + s], dot(local[u], shared[s]), scale);
    }
  }
  for (let s = 0; s < p; s++) {
    for (let t = 0; t < p; t++) {
      const prior = s === t ? compiled.sharedPrecision[s] : 0;
      const scale = Math.sqrt(dot(shared[s], shared[s]) * dot(shared[t], shared[t]));
      near(system.corner[s * p + t] - prior, dot(shared[s], shared[t]), scale + prior);
    }
  }
});

test("prediction and residuals are of one mind", () => {
  const { compiled, estimate } = everything();
  const residuals = new Float64Array(compiled.n * compiled.readings);
  const objective = { huber: 2.5, noiseScale: 1, smoothness: noSmoothness };
  normalEquations(compiled, estimate, objective, undefined, residuals);
  predictAll(compiled, estimate).forEach((value, at) => {
    const byResidual = compiled.values[at] + residuals[at] / compiled.inverseSigma[at];
    expect(value).toBeCloseTo(byResidual, 12); // identity
  });
});
