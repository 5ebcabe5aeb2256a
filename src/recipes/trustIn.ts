import { blendOf } from "../coating/blend.ts";
import type { Component } from "../coating/component.ts";
import { reflectivityInto } from "../optics/film.ts";
import { doubtfulComponents } from "./coefficientDoubt.ts";
import { type Trust, usualTrust } from "./discrepancy.ts";

const draws = 32;
/** 1/µm: below this no film shows anything of it, and its logarithm says nothing. */
const leastDepth = 1e-6;

/**
 * How far the pigment data of a pot are trusted when its pastes were found together: what theory and hand leave over in any
 * case (the usual trust), and on top the spread of K/S of this very mix over the joint draws, each wavelength counted by what it
 * does to the lightness of a film that hides. Pastes that are each known badly may be known well together.
 *
 * @param pot mL of each component
 * @returns undefined when nothing in the pot was found together with others
 */
export function trustIn(components: readonly Component[], pot: ArrayLike<number>): Trust | undefined {
  const there = components.filter((_, j) => pot[j] > 0);
  if (!there.some(({ joint }) => joint)) return undefined;
  const volumes = Array.from(pot).filter((volume) => volume > 0);
  const { absorption, scattering } = blendOf(there, volumes);
  const points = absorption.length;
  const reflectivity = new Float64Array(points);
  reflectivityInto(absorption, scattering, reflectivity);
  const sums = new Float64Array(points);
  const squares = new Float64Array(points);
  for (const drawn of doubtfulComponents(there, draws, 1)) {
    const { absorption: K, scattering: S } = blendOf(drawn, volumes);
    for (let i = 0; i < points; i++) {
      const log = Math.log(Math.max(K[i], leastDepth) / Math.max(S[i], leastDepth));
      sums[i] += log;
      squares[i] += log * log;
    }
  }
  let spread = 0;
  let whole = 0;
  for (let i = 0; i < points; i++) {
    // The slope of the cube root of R by ln(K/S): K/S = (1 − R)²/2R gives dR/dln(K/S) = −R(1 − R)/(1 + R) (Kubelka, Munk 1931).
    const R = reflectivity[i];
    const seen = ((Math.cbrt(R) * (1 - R)) / (1 + R)) ** 2;
    spread += seen * Math.max(0, squares[i] / draws - (sums[i] / draws) ** 2);
    whole += seen;
  }
  const ofPastes = whole > 0 ? Math.sqrt(spread / whole) : 0;
  return { ...usualTrust, ratio: Math.hypot(usualTrust.ratio, ofPastes) };
}
