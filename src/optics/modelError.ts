import { aboveZero, atLeastZero, sameLength } from "../colour/checks.ts";
import { wavelengths as wavelengthsOf, workingGrid } from "../colour/grid.ts";
import { filmRT } from "./film.ts";

// How wrong two-flux theory is, where exact radiative transfer (isotropic scattering, matched index) can be had
// without much ado. Two-flux coefficients of a medium with true coefficients k and s are K = 2k and S = ¾s
// (Mudgett, Richards 1971; from memory).

/**
 * Exponential integral E₃(τ) = ∫₁^∞ e^(−τt)/t³ dt.
 *
 * @param tau optical thickness, ≥ 0   @returns ½ at 0, falling
 * Source: definition, e.g. Chandrasekhar 1950, appendix I; power series below 1, continued fraction above
 * (Abramowitz, Stegun 5.1.12 and 5.1.22).
 */
export function exponentialIntegral3(tau: number): number {
  atLeastZero("optical thickness", tau);
  if (tau === 0) return 0.5;
  if (tau < 1) {
    // E₃ = τ²/2·(ψ(3) − ln τ) − Σ_{m≠2} (−τ)^m/((m − 2)·m!), ψ(3) = 3/2 − γ
    const eulerGamma = 0.5772156649015329;
    let sum = ((tau * tau) / 2) * (1.5 - eulerGamma - Math.log(tau));
    let term = 1;
    for (let m = 0; m < 30; m++) {
      if (m > 0) term *= -tau / m;
      if (m !== 2) sum -= term / (m - 2);
    }
    return sum;
  }
  // Even part of the continued fraction, from the far end inwards: b_i = τ + 3 + 2i, a_i = −i(i + 2).
  let below = 0;
  for (let i = 200; i >= 1; i--) below = (-i * (i + 2)) / (tau + 3 + 2 * i + below);
  return Math.exp(-tau) / (tau + 3 + below);
}

/**
 * Share of diffuse light that a purely absorbing film lets through, exactly: 2E₃(τ).
 *
 * @param tau true absorption coefficient × thickness, ≥ 0
 * Source: Chandrasekhar 1950. Two-flux theory gives e^(−2τ) instead, which is always less.
 */
export function diffuseTransmittanceExact(tau: number): number {
  return 2 * exponentialIntegral3(tau);
}

/** Internal reflectance of the light ground for which doubt is stated. */
const lightGround = 0.8;

/**
 * By how much two-flux theory takes a coat over a light ground (reflectance 0.8) for darker than it is: an estimate,
 * in reflectance. The exact and the two-flux transmittance of the absorption alone, there and back, times the share
 * of it that scattering leaves. Against exact multiple scattering for albedos 0.2 to 0.9 and optical thickness 0.5 to
 * 2 it lies between 10 % under and 45 % over the true shortfall.
 *
 * @param K absorption, 1/µm, > 0 or 0   @param S scattering, 1/µm   @param X dry thickness, µm
 * @throws RangeError for a value out of range
 * Source: 2E₃(τ) (Chandrasekhar 1950) against e^(−2τ), τ = KX/2.
 */
export function twoFluxShortfall(K: number, S: number, X: number): number {
  const [, T] = filmRT(K, S, X);
  const exact = diffuseTransmittanceExact((K * X) / 2);
  const twoFlux = Math.exp(-K * X);
  return lightGround * (exact * exact - twoFlux * twoFlux) * (twoFlux > 0 ? T / twoFlux : 0);
}

/**
 * A note in words where two-flux theory is doubtful for a coat, or undefined where it is good.
 *
 * The figures behind it: for strongly scattering, weakly absorbing films two-flux theory is good to 1 to 2 % of R; a
 * thin, strongly absorbing, translucent coat over a light ground it takes 10 to 30 % too dark (transmittance of a
 * purely absorbing coat 17 % low at optical thickness 0.5, 38 % at 1), and K fitted at one thickness is right only
 * near that thickness.
 *
 * @param K absorption, 1/µm   @param S scattering, 1/µm; a number or a spectrum each   @param X dry thickness, µm
 * @param wavelengths nm, for the text; the working grid when left out
 * @param threshold shortfall in reflectance worth a note, 0.01 by default
 * @throws RangeError for a value out of range, TypeError when lengths differ
 */
export function modelDoubt(
  K: number | ArrayLike<number>,
  S: number | ArrayLike<number>,
  X: number,
  wavelengths?: ArrayLike<number>,
  threshold = 0.01,
): string | undefined {
  const absorption = typeof K === "number" ? [K] : K;
  const scattering = typeof S === "number" ? [S] : S;
  sameLength("absorption K", absorption, "scattering S", scattering);
  if (wavelengths) sameLength("wavelengths", wavelengths, "absorption K", absorption);
  aboveZero("threshold", threshold);
  const nm =
    wavelengths ?? (absorption.length === workingGrid.length ? wavelengthsOf(workingGrid) : undefined);
  let worst = 0;
  let from = -1;
  let to = -1;
  for (let i = 0; i < absorption.length; i++) {
    const shortfall = twoFluxShortfall(absorption[i], scattering[i], X);
    worst = Math.max(worst, shortfall);
    if (shortfall < threshold) continue;
    if (from < 0) from = i;
    to = i;
  }
  if (from < 0) return undefined;
  const place = !nm ? "" : from === to ? ` at ${nm[from]} nm` : ` between ${nm[from]} and ${nm[to]} nm`;
  return (
    `This coat absorbs strongly and yet lets light through${place}: over a light ground the film theory ` +
    `(two fluxes, Kubelka-Munk) may take it for darker than it is, by up to about ${worst.toFixed(2)} of reflectance. ` +
    "K and S found at one thickness hold best near that thickness: calibrate at more than one, and trust a test panel."
  );
}
