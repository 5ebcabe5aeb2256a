import type { Component } from "../coating/component.ts";
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

/** The pastes and the rest of a recipe by themselves, so that a mix of any loading is a blend of the two. */
export interface SplitRecipe {
  /** Share of pastes in the wet recipe, 0…1. */
  readonly loading: number;
  readonly paste: WetFilm | undefined;
  readonly rest: WetFilm | undefined;
}

/** @throws RangeError when all amounts are 0 */
export function splitRecipe(components: readonly Component[], volumes: ArrayLike<number>): SplitRecipe {
  let total = 0;
  let pastes = 0;
  components.forEach(({ role }, j) => {
    total += volumes[j];
    if (role === "paste") pastes += volumes[j];
  });
  if (!(total > 0)) throw new RangeError("wet volumes are all 0 mL: a mix needs at least one amount above 0");
  const films = components.map(wetFilmOf);
  const part = (isPaste: boolean, volume: number): WetFilm | undefined => {
    if (volume === 0) return undefined;
    const film = createWetFilm(films[0].absorption.length);
    const shares = components.map(({ role }, j) =>
      (role === "paste") === isPaste ? volumes[j] / volume : 0,
    );
    blendWetInto(films, shares, film);
    return film;
  };
  return { loading: pastes / total, paste: part(true, pastes), rest: part(false, total - pastes) };
}

/**
 * Depths of the recipe at a loading, the pastes among themselves unchanged.
 * @param loading share of pastes in the wet mix, 0…1; the recipe's own when undefined
 * @throws RangeError when the recipe lacks what would be needed more of
 */
export function loadedInto(
  { loading: own, paste, rest }: SplitRecipe,
  loading: number | undefined,
  out: WetFilm,
): void {
  const share = loading ?? own;
  if (!(share >= 0 && share <= 1)) throw new RangeError(`loading = ${share}: must be from 0 to 1`);
  if (share > 0 && !paste) throw new RangeError("the recipe has no paste: its loading cannot be raised");
  if (share < 1 && !rest) throw new RangeError("the recipe has no binder: its loading cannot be lowered");
  const films = [paste, rest].filter((film) => film !== undefined);
  const shares = [...(paste ? [share] : []), ...(rest ? [1 - share] : [])];
  blendWetInto(films, shares, out);
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
