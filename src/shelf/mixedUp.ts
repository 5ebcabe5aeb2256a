import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { filmReflectanceInto } from "../optics/film.ts";
import { toMeasuredInto } from "../optics/interface.ts";
import type { CalibratedShelf } from "./calibrateShelf.ts";
import type { FilmPart, Shelf } from "./shelf.ts";

/** What would explain a film that contradicts all others. */
interface MixedUp {
  /** ΔE00 of the film as it was noted, and as it would be explained, both by the mean K and S */
  readonly asNoted: number;
  readonly explained: number;
  /** in words */
  readonly likely: string;
}

/** An explanation must leave less than this share of the contradiction. */
const convincing = 0.4;

/**
 * Looks whether a film would agree with the shelf if two bottles had been mixed up: two doses exchanged, or one paste
 * taken for another.
 *
 * @param measured Lab as measured
 * @returns the best explanation, or undefined where none convinces, or the film lies over another
 */
export function mixedUp(
  shelf: Shelf,
  result: CalibratedShelf,
  reading: number,
  measured: Float64Array,
  weights: TristimulusWeights,
): MixedUp | undefined {
  const { films, ground, specular } = shelf.readings[reading];
  if (films.length > 1) return undefined;
  const { parts } = shelf.films[films[0]];
  const points = shelf.wavelengths.length;
  const { externalReflection: k1, internalReflection: k2 } = shelf.surface;
  const K = new Float64Array(points);
  const S = new Float64Array(points);
  const R = new Float64Array(points);
  const Lab = new Float64Array(3);
  const differenceOf = (poured: readonly FilmPart[]): number => {
    K.fill(0);
    S.fill(0);
    for (const { component, amount } of poured) {
      for (let i = 0; i < points; i++) {
        K[i] += amount * result.absorption[component * points + i];
        S[i] += amount * result.scattering[component * points + i];
      }
    }
    filmReflectanceInto(K, S, 1, shelf.grounds[ground], R);
    toMeasuredInto(R, k1, k2, specular, R);
    return deltaE2000(measured, reflectanceToLab(R, weights, Lab));
  };
  const asNoted = differenceOf(parts);
  let best: MixedUp | undefined;
  const look = (poured: readonly FilmPart[], likely: string) => {
    const explained = differenceOf(poured);
    if (explained < convincing * asNoted && explained < (best?.explained ?? Number.POSITIVE_INFINITY)) {
      best = { asNoted, explained, likely };
    }
  };
  const name = (component: number) => shelf.components[component].name;
  const inside = new Set(parts.map(({ component }) => component));
  for (const [k, part] of parts.entries()) {
    for (const [l, other] of parts.entries()) {
      if (l <= k) continue;
      const changed = parts.map((one, m) =>
        m === k
          ? { ...one, component: other.component }
          : m === l
            ? { ...one, component: part.component }
            : one,
      );
      look(changed, `the doses of ${name(part.component)} and ${name(other.component)} are exchanged`);
    }
    shelf.components.forEach((_, component) => {
      if (inside.has(component)) return;
      const changed = parts.map((one, m) => (m === k ? { ...one, component } : one));
      look(changed, `${name(component)} was poured in place of ${name(part.component)}`);
    });
  }
  return best;
}
