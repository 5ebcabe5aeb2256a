import type { Compiled, Estimate } from "./compiled.ts";
import { createFilmParts, createFilmSlopes, filmPartsInto, filmSlopesInto } from "./filmSlopes.ts";

/** What to assume about one film in place of what is on its label. */
export interface Assumption {
  /** dry thickness; Infinity = hides completely */
  readonly thickness: number;
  /** share of each component, paste first; as labelled when left out */
  readonly fractions?: ArrayLike<number>;
  /** ground of each of its readings, by index; as labelled when left out */
  readonly grounds?: ArrayLike<number>;
}

const parts = createFilmParts();
const slopes = createFilmSlopes();
const film = { K: 0, S: 0 };

/** Thickness of a film in an estimate, Infinity for an opaque one. */
export function thicknessOf({ sharedOfFilm }: Compiled, { shared }: Estimate, f: number): number {
  return sharedOfFilm[f] < 0 ? Number.POSITIVE_INFINITY : Math.exp(shared[sharedOfFilm[f]]);
}

/** k2 of an estimate, whether it was estimated or stated. */
export function k2Of({ sharedOfK2, k2 }: Compiled, { shared }: Estimate): number {
  return sharedOfK2 < 0 ? k2 : shared[sharedOfK2];
}

/** Labelled shares of the components of film f. */
export function fractionsOf({ fractions, components }: Compiled, f: number): Float64Array {
  return fractions.subarray(f * components, (f + 1) * components);
}

/** K and S at wavelength i of a film with these shares under an estimate. For hot loops: no checks. */
export function mixInto(
  { m, components, localOfComponent, known }: Compiled,
  { local }: Estimate,
  i: number,
  fractions: ArrayLike<number>,
  out: { K: number; S: number },
): void {
  let K = 0;
  let S = 0;
  for (let j = 0; j < components; j++) {
    const u = localOfComponent[j];
    const at = (i * components + j) * 2;
    K += fractions[j] * (u < 0 ? known[at] : local[i * m + u]);
    S += fractions[j] * (u < 0 ? known[at + 1] : local[i * m + u + 1]);
  }
  out.K = K;
  out.S = S;
}

/**
 * Predicted readings of one film, specular part included, as out[i·count + q] for its q-th reading of `count`.
 * No checks; for hot loops.
 */
export function predictFilmInto(
  compiled: Compiled,
  estimate: Estimate,
  f: number,
  assumption: Assumption,
  out: Float64Array,
): void {
  const { n, firstReading, groundOf, k1 } = compiled;
  const { local } = estimate;
  const k2 = k2Of(compiled, estimate);
  const through = (1 - k1) * (1 - k2);
  const first = firstReading[f];
  const count = firstReading[f + 1] - first;
  const fractions = assumption.fractions ?? fractionsOf(compiled, f);
  for (let i = 0; i < n; i++) {
    mixInto(compiled, estimate, i, fractions, film);
    const { K, S } = film;
    const opaque = assumption.thickness === Number.POSITIVE_INFINITY;
    if (!opaque) filmPartsInto(K, S, assumption.thickness, parts);
    for (let q = 0; q < count; q++) {
      let R: number;
      if (opaque) {
        const below = K + S + Math.sqrt(K * (K + 2 * S));
        R = below > 0 ? S / below : 1;
      } else {
        const g = assumption.grounds === undefined ? groundOf[first + q] : assumption.grounds[q];
        filmSlopesInto(parts, 0, internalGround(compiled, local, k2, i, g), slopes);
        R = slopes.R;
      }
      out[i * count + q] = k1 + (through * R) / (1 - k2 * R);
    }
  }
}

/** Predicted readings of all films under an estimate, specular part included, as [i·readings + r]. */
export function predictAll(compiled: Compiled, estimate: Estimate): Float64Array {
  const { n, films, readings, firstReading } = compiled;
  const all = new Float64Array(n * readings);
  for (let f = 0; f < films; f++) {
    const first = firstReading[f];
    const count = firstReading[f + 1] - first;
    const own = new Float64Array(n * count);
    predictFilmInto(compiled, estimate, f, { thickness: thicknessOf(compiled, estimate, f) }, own);
    for (let i = 0; i < n; i++)
      for (let q = 0; q < count; q++) all[i * readings + first + q] = own[i * count + q];
  }
  return all;
}

function internalGround(compiled: Compiled, local: Float64Array, k2: number, i: number, g: number): number {
  const { m, grounds, groundInternal, groundValues, localOfGround, k1 } = compiled;
  const u = localOfGround[g];
  const value = u < 0 ? groundValues[i * grounds + g] : local[i * m + u];
  if (groundInternal[g] === 1) return value;
  const left = value - k1;
  const below = (1 - k1) * (1 - k2) + k2 * left;
  return left <= 0 || !(below > 0) ? 0 : Math.min(left / below, 1);
}
