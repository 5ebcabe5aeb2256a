import type { Component } from "../coating/component.ts";
import { sumOf } from "../fit/sumOf.ts";
import { filmLayer } from "../optics/film.ts";

/**
 * Optical depth of a coating per µm of *wet* film, K and S alike: Σ uⱼφⱼKⱼ for wet shares uⱼ and volume
 * solids φⱼ. It is linear in the wet shares, dry thickness and mixing by dry volume both counted, and needs
 * no division.
 * Source: K and S add by dry volume (Duncan 1940, from memory); dry = wet × volume solids (ISO 3233).
 */
export interface WetFilm {
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
}

export function createWetFilm(length: number): WetFilm {
  return { absorption: new Float64Array(length), scattering: new Float64Array(length) };
}

/** Depths of one component, per µm of wet film. */
export function wetFilmOf({ absorption, scattering, volumeSolids }: Component): WetFilm {
  return {
    absorption: absorption.map((K) => K * volumeSolids),
    scattering: scattering.map((S) => S * volumeSolids),
  };
}

/** out = Σ shareⱼ·filmⱼ */
export function blendWetInto(films: readonly WetFilm[], shares: ArrayLike<number>, out: WetFilm): void {
  const { absorption, scattering } = out;
  const { length } = absorption;
  absorption.fill(0);
  scattering.fill(0);
  for (let j = 0; j < films.length; j++) {
    const share = shares[j];
    if (share === 0) continue;
    const { absorption: K, scattering: S } = films[j];
    for (let i = 0; i < length; i++) {
      absorption[i] += share * K[i];
      scattering[i] += share * S[i];
    }
  }
}

/** The film of a mix, in fresh arrays. */
export function mixWet(components: readonly Component[], shares: ArrayLike<number>): WetFilm {
  const film = createWetFilm(components[0].absorption.length);
  blendWetInto(components.map(wetFilmOf), shares, film);
  return film;
}

/**
 * Wet shares of a recipe at a loading, the pastes among themselves unchanged and the rest likewise.
 * @param loading share of pastes in the wet mix, 0…1; the recipe's own when undefined
 * @throws RangeError when all amounts are 0, or the recipe lacks what would be needed more of
 */
export function loadedShares(
  { components, volumes }: { readonly components: readonly Component[]; readonly volumes: ArrayLike<number> },
  loading?: number,
): Float64Array {
  const total = sumOf(volumes);
  if (!(total > 0)) throw new RangeError("wet volumes are all 0 mL: a mix needs at least one amount above 0");
  let pastes = 0;
  components.forEach(({ role }, j) => {
    if (role === "paste") pastes += volumes[j];
  });
  const share = loading ?? pastes / total;
  if (!(share >= 0 && share <= 1)) throw new RangeError(`loading = ${share}: must be from 0 to 1`);
  if (share > 0 && pastes === 0)
    throw new RangeError("the recipe has no paste: its loading cannot be raised");
  if (share < 1 && pastes === total)
    throw new RangeError("the recipe has no binder: its loading cannot be lowered");
  return Float64Array.from(components, ({ role }, j) => {
    if (volumes[j] === 0) return 0;
    return role === "paste" ? (share * volumes[j]) / pastes : ((1 - share) * volumes[j]) / (total - pastes);
  });
}

/**
 * A film as a fraction in the reflectance g of what lies under it: R(g) = (r + q·g)/(1 − r·g), with q = t² −
 * r². Fractions compose without dividing, so that a whole chain of films needs one division at each
 * wavelength.
 * Source: Kubelka 1954, R = r + t²g/(1 − rg).
 */
export interface FilmFraction {
  readonly r: Float64Array;
  readonly q: Float64Array;
}

/** Room for `count` films of one length, one after the other. */
export function createFractions(count: number, length: number): FilmFraction[] {
  return Array.from({ length: count }, () => ({ r: new Float64Array(length), q: new Float64Array(length) }));
}

/** Fraction of a film of so much wet thickness, µm. */
export function fractionInto(
  { absorption, scattering }: WetFilm,
  wetThickness: number,
  out: FilmFraction,
): void {
  const { r, q } = out;
  filmLayer(absorption, scattering, wetThickness, r, q);
  for (let i = 0; i < r.length; i++) q[i] = q[i] * q[i] - r[i] * r[i];
}
