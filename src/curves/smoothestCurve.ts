import { triple } from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { LabToXYZ, reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { solveInPlace } from "../fit/denseAlgebra.ts";
import { withinSteps } from "../fit/steps.ts";

/** One of the many reflectance curves that have a given Lab. */
export interface CurveFromLab {
  /** "converged": the curve has the Lab asked for; "infeasible": no curve within 0…1 has it, this is the nearest */
  readonly status: "converged" | "infeasible";
  /** On the grid of the weights, strictly between 0 and 1. */
  readonly reflectance: Float64Array;
  /** CIELAB of the curve under the light of the weights. */
  readonly Lab: Float64Array;
  /** ΔE00 between the Lab asked for and that of the curve. */
  readonly deltaE: number;
  readonly notes: readonly string[];
}

/** What every curve made from a Lab is to be labelled with. */
const oneOfMany = "one of many curves with this Lab: in other lights the part itself may look different";

// Black and white have no curve strictly between 0 and 1; this near to them the difference is below ΔE00 0.005.
const darkest = 0.005;
const lightest = 99.995;
// ΔE00 that counts as "has this Lab".
const reached = 0.005;

/**
 * The smoothest reflectance with a given Lab: least sum of squared steps of z = ln(R / (1 − R)) from one wavelength to
 * the next, subject to the three tristimulus values. R = 1 / (1 + e^−z) lies between 0 and 1 whatever z is, so that no
 * bounds are needed. Solved by Newton's method on the optimality conditions; where that fails from a flat curve, chroma
 * is raised in steps, and the last step that has a solution is returned as the nearest colour.
 *
 * @param Lab under the light and for the observer of the weights
 * @throws TypeError, RangeError for anything but three finite numbers or L* outside 0…100
 * Source: S. A. Burns, Numerical methods for smoothest reflectance reconstruction, Color Res. Appl. 45, 2020 (least
 * hyperbolic tangent slope squared; from memory).
 */
export function smoothestCurve(Lab: ArrayLike<number>, weights: TristimulusWeights): CurveFromLab {
  return curveNearest(Lab, weights, new Float64Array(weights.x.length - 1));
}

/**
 * As smoothestCurve, but the steps of z come as near as can be to the steps given instead of to 0.
 * @param steps wanted steps of z, one fewer than wavelengths
 */
export function curveNearest(
  Lab: ArrayLike<number>,
  weights: TristimulusWeights,
  steps: Float64Array,
): CurveFromLab {
  triple("Lab", Lab);
  if (Lab[0] < 0 || Lab[0] > 100) {
    throw new RangeError(
      `L* = ${Lab[0]}: must be from 0 to 100 for a surface that reflects and does not glow`,
    );
  }
  const L = Math.min(Math.max(Lab[0], darkest), lightest);
  const target = new Float64Array(3);
  const at = (share: number): Float64Array =>
    LabToXYZ([L, share * Lab[1], share * Lab[2]], weights.white, target);

  const Y = at(0)[1] / weights.white[1];
  const flat = new Float64Array(weights.x.length).fill(Math.log(Y / (1 - Y)));
  let z = solveConditions(weights, at(1), flat, steps);
  if (z !== undefined) return finished(z, Lab, weights);
  // From grey towards the colour, as far as there are curves.
  z = solveConditions(weights, at(0), flat, steps) ?? flat;
  let share = 0;
  let stride = 0.25;
  for (let step = 0; stride > 1e-4 && share < 1; step++) {
    withinSteps(step, 20_000, "the way from grey to the colour");
    const next = Math.min(share + stride, 1);
    const further = solveConditions(weights, at(next), z, steps);
    if (further === undefined) stride /= 2;
    else {
      z = further;
      share = next;
    }
  }
  return finished(z, Lab, weights);
}

function finished(z: Float64Array, Lab: ArrayLike<number>, weights: TristimulusWeights): CurveFromLab {
  const reflectance = z.map((value) => 1 / (1 + Math.exp(-value)));
  const own = reflectanceToLab(reflectance, weights, new Float64Array(3));
  const deltaE = deltaE2000(Lab, own);
  if (deltaE <= reached) {
    return { status: "converged", reflectance, Lab: own, deltaE, notes: [oneOfMany] };
  }
  const note =
    `No surface can have this Lab under ${weights.illuminant}: the nearest one of the same lightness and hue ` +
    `has chroma ${Math.hypot(own[1], own[2]).toFixed(1)} instead of ${Math.hypot(Lab[1], Lab[2]).toFixed(1)} ` +
    `(ΔE00 ${deltaE.toFixed(1)}). Check the numbers, the light and the observer.`;
  return { status: "infeasible", reflectance, Lab: own, deltaE, notes: [note, oneOfMany] };
}

/**
 * Newton's method on: 2 Dᵀ(D z − steps) + Σ λc Wc R′ = 0, Σ Wc R(z) = XYZ.
 * @returns z, or undefined when it does not converge
 */
function solveConditions(
  weights: TristimulusWeights,
  XYZ: Float64Array,
  start: Float64Array,
  steps: Float64Array,
): Float64Array | undefined {
  const rows = [weights.x, weights.y, weights.z];
  const n = start.length;
  const size = n + 3;
  const z = Float64Array.from(start);
  const multipliers = new Float64Array(3);
  const matrix = new Float64Array(size * size);
  const right = new Float64Array(size);
  for (let round = 0; round < 40; round++) {
    matrix.fill(0);
    right.fill(0);
    for (let i = 0; i + 1 < n; i++) {
      const miss = 2 * (z[i + 1] - z[i] - steps[i]);
      right[i] += miss;
      right[i + 1] -= miss;
      matrix[i * size + i] += 2;
      matrix[(i + 1) * size + i + 1] += 2;
      matrix[i * size + i + 1] -= 2;
      matrix[(i + 1) * size + i] -= 2;
    }
    let worst = 0;
    for (let c = 0; c < 3; c++) right[n + c] = XYZ[c];
    for (let i = 0; i < n; i++) {
      const R = 1 / (1 + Math.exp(-z[i]));
      const first = R * (1 - R);
      for (let c = 0; c < 3; c++) {
        const W = rows[c][i];
        right[n + c] -= W * R;
        right[i] -= multipliers[c] * W * first;
        matrix[i * size + i] += multipliers[c] * W * first * (1 - 2 * R);
        matrix[i * size + n + c] = matrix[(n + c) * size + i] = W * first;
      }
    }
    for (let c = 0; c < 3; c++) worst = Math.max(worst, Math.abs(right[n + c]));
    if (!solveInPlace(matrix, right, size, size, 0)) return undefined;
    let longest = 0;
    for (let i = 0; i < n; i++) longest = Math.max(longest, Math.abs(right[i]));
    if (!Number.isFinite(longest)) return undefined;
    // No step may jump from one end of 0…1 to the other.
    const damping = longest > 2 ? 2 / longest : 1;
    for (let i = 0; i < n; i++) z[i] += damping * right[i];
    for (let c = 0; c < 3; c++) multipliers[c] += damping * right[n + c];
    if (longest < 1e-9 && worst < 1e-9) return z;
  }
  return undefined;
}
