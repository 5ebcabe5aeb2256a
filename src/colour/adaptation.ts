import { inverse3 } from "../fit/denseAlgebra.ts";
import { triple } from "./checks.ts";

/** Bradford cone responses. Source: Lam 1985, Rigg; as in CIE 15 literature and ICC profiles. */
const cone = [0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296] as const;
const coneInverse = inverse3(cone);

/**
 * Matrix that carries XYZ seen under one white to XYZ of the same appearance under another, row by row (9 numbers).
 * @param from, to XYZ of the whites on one scale
 * @throws TypeError, RangeError for whites that are not three finite numbers
 * Source: linear Bradford transform (Lam & Rigg cone matrix).
 */
export function bradfordMatrix(from: ArrayLike<number>, to: ArrayLike<number>): Float64Array {
  triple("white", from);
  triple("white", to);
  const matrix = new Float64Array(9);
  for (let i = 0; i < 3; i++) {
    // Gain of cone i: response to the new white over response to the old one.
    const gain = row(cone, i, to) / row(cone, i, from);
    for (let r = 0; r < 3; r++) {
      for (let c = 0; c < 3; c++) matrix[3 * r + c] += coneInverse[3 * r + i] * gain * cone[3 * i + c];
    }
  }
  return matrix;
}

/** XYZ through a 3×3 matrix. @param out receives the result; may be the array of XYZ itself @returns `out` */
export function adapt(XYZ: ArrayLike<number>, matrix: ArrayLike<number>, out: Float64Array): Float64Array {
  const X = row(matrix, 0, XYZ);
  const Y = row(matrix, 1, XYZ);
  const Z = row(matrix, 2, XYZ);
  out[0] = X;
  out[1] = Y;
  out[2] = Z;
  return out;
}

function row(m: ArrayLike<number>, i: number, v: ArrayLike<number>): number {
  return m[3 * i] * v[0] + m[3 * i + 1] * v[1] + m[3 * i + 2] * v[2];
}
