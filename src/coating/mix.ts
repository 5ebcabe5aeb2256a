import { atLeastZero, sameLength } from "../colour/checks.ts";
import type { Component } from "./component.ts";

/** What amounts poured together make. */
export interface Mix {
  /** share of each component in the dry film, by volume; sums to 1 */
  dryFractions: Float64Array;
  /** volume solids of the wet mix, 0…1 */
  volumeSolids: number;
  /** g/mL of the wet mix */
  density: number;
  /** pigment loading: share of pastes in the wet volume, 0…1 */
  loading: number;
}

/**
 * The mix of given wet volumes: dry volume d_j = v_j·φ_j, dry fraction c_j = d_j/Σd.
 *
 * @param wetVolumes mL (or any one unit of volume), ≥ 0, one for each component
 * @throws RangeError for a negative amount, for no amount at all, or for a mix that leaves no dry film;
 * TypeError when the numbers of components and amounts differ
 * Source: definition; volumes taken as additive (common practice).
 */
export function mixOf(components: readonly Component[], wetVolumes: ArrayLike<number>): Mix {
  sameLength("components", components, "wet volumes", wetVolumes);
  const dryFractions = new Float64Array(components.length);
  let wet = 0;
  let dry = 0;
  let mass = 0;
  let paste = 0;
  for (let j = 0; j < components.length; j++) {
    const { name, role, density, volumeSolids } = components[j];
    const volume = wetVolumes[j];
    atLeastZero(`wet volume of ${name}`, volume, "mL");
    dryFractions[j] = volume * volumeSolids;
    wet += volume;
    dry += dryFractions[j];
    mass += volume * density;
    if (role === "paste") paste += volume;
  }
  if (wet === 0) throw new RangeError("wet volumes are all 0 mL: a mix needs at least one amount above 0");
  if (dry === 0) throw new RangeError("volume solids of the mix is 0: it leaves no dry film");
  for (let j = 0; j < dryFractions.length; j++) dryFractions[j] /= dry;
  return { dryFractions, volumeSolids: dry / wet, density: mass / wet, loading: paste / wet };
}

/**
 * K and S of the dry film of a mix, K = Σ c_j·K_j and S = Σ c_j·S_j, into the caller's arrays. For hot loops:
 * lengths are checked, values are not.
 *
 * @param dryFractions share of each component in the dry film, by volume
 * @param outK absorption, 1/µm   @param outS scattering, 1/µm
 * @throws TypeError when lengths differ
 * Source: Duncan 1940 (from memory), additivity of K and S.
 */
export function mixFilmInto(
  components: readonly Component[],
  dryFractions: ArrayLike<number>,
  outK: Float64Array,
  outS: Float64Array,
): void {
  sameLength("components", components, "dry fractions", dryFractions);
  sameLength("outK", outK, "outS", outS);
  outK.fill(0);
  outS.fill(0);
  for (let j = 0; j < components.length; j++) {
    const c = dryFractions[j];
    if (c === 0) continue;
    const { absorption, scattering, name } = components[j];
    sameLength(`absorption of ${name}`, absorption, "outK", outK);
    sameLength(`scattering of ${name}`, scattering, "outS", outS);
    for (let i = 0; i < outK.length; i++) {
      outK[i] += c * absorption[i];
      outS[i] += c * scattering[i];
    }
  }
}
