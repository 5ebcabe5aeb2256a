import { Matrix, solve } from "ml-matrix";
import { aboveZero, atLeastZero, fraction, sameLength } from "../colour/checks.ts";

/** Coefficients of a white and a coloured paint in units of the white's scattering, at one wavelength. */
export interface OpaqueCoefficients {
  whiteAbsorption: number;
  absorption: number;
  scattering: number;
}

/**
 * K and S of a coloured paint, and K of the white it is let down with, from K/S of opaque mixtures at one wavelength;
 * the white's S is the unit. Every mixture gives one linear equation: (1−c)·K_w + c·K − q·c·S = q·(1−c).
 *
 * @param fractions share c of the coloured paint in each mixture, 0…1; at least three different ones
 * @param ratios q = K/S of each opaque mixture, ≥ 0
 * @param weights of the equations; equal when left out
 * @throws RangeError for values out of range or too few mixtures, TypeError when lengths differ
 * Source: Walowit, McCarthy, Berns 1987 (from memory), unweighted least squares.
 */
export function opaqueMixtures(
  fractions: ArrayLike<number>,
  ratios: ArrayLike<number>,
  weights?: ArrayLike<number>,
): OpaqueCoefficients {
  sameLength("fractions", fractions, "ratios", ratios);
  if (weights !== undefined) sameLength("weights", weights, "ratios", ratios);
  const different = new Set(Array.from(fractions)).size;
  if (different < 3) {
    throw new RangeError(
      `${different} different mixtures: three unknowns (K and S of the paint, K of the white) need at least 3`,
    );
  }
  const rows = Array.from(fractions, (c, i) => {
    fraction("share of the paint", c);
    atLeastZero("K/S of a mixture", ratios[i]);
    const weight = weights === undefined ? 1 : weights[i];
    aboveZero("weight", weight);
    return [(1 - c) * weight, c * weight, -ratios[i] * c * weight, ratios[i] * (1 - c) * weight];
  });
  const x = solve(new Matrix(rows.map((row) => row.slice(0, 3))), new Matrix(rows.map((row) => [row[3]])));
  return { whiteAbsorption: x.get(0, 0), absorption: x.get(1, 0), scattering: x.get(2, 0) };
}
