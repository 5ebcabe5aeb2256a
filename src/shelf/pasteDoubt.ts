import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { filmReflectanceInto } from "../optics/film.ts";
import { toMeasuredInto } from "../optics/interface.ts";
import type { CalibratedShelf } from "./calibrateShelf.ts";
import type { Shelf } from "./shelf.ts";

/** Draws and films that are looked at for each paste: enough to tell which is known worst. */
const looked = { draws: 32, films: 8 } as const;

/**
 * What the doubt of one paste does to the films in which it was poured: mean ΔE00 when its K and S alone are drawn, all
 * others at their means.
 *
 * @returns for each component; undefined for one that is in no film that was read
 */
export function pasteDoubt(
  shelf: Shelf,
  { draws, absorption, scattering }: CalibratedShelf,
  weights: TristimulusWeights,
): (number | undefined)[] {
  const points = shelf.wavelengths.length;
  const curves = shelf.components.length * points;
  const { externalReflection: k1, internalReflection: k2 } = shelf.surface;
  const K = new Float64Array(points);
  const S = new Float64Array(points);
  const R = new Float64Array(points);
  return shelf.components.map((_, component) => {
    const readings = shelf.readings.filter(
      ({ films, seen }) =>
        seen && shelf.films[films[films.length - 1]].parts.some((part) => part.component === component),
    );
    if (readings.length === 0) return undefined;
    const some = readings.filter((_, r) => r % Math.ceil(readings.length / looked.films) === 0);
    let sum = 0;
    let count = 0;
    for (const { films, ground, specular } of some) {
      const { parts } = shelf.films[films[films.length - 1]];
      const seenWith = (draw: number): Float64Array => {
        K.fill(0);
        S.fill(0);
        for (const { component: c, amount } of parts) {
          for (let i = 0; i < points; i++) {
            const at = c * points + i;
            const drawn = draw >= 0 && c === component;
            K[i] += amount * (drawn ? draws.absorption[draw * curves + at] : absorption[at]);
            S[i] += amount * (drawn ? draws.scattering[draw * curves + at] : scattering[at]);
          }
        }
        filmReflectanceInto(K, S, 1, shelf.grounds[ground], R);
        toMeasuredInto(R, k1, k2, specular, R);
        return reflectanceToLab(R, weights, new Float64Array(3));
      };
      const mean = seenWith(-1);
      for (let k = 0; k < looked.draws; k++) {
        sum += deltaE2000(mean, seenWith(Math.floor((k * draws.count) / looked.draws)));
        count++;
      }
    }
    return sum / count;
  });
}
