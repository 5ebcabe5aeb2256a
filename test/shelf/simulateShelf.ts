import { wavelengths as wavelengthsOf, workingGrid } from "../../src/colour/grid.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import type { TristimulusWeights } from "../../src/colour/weights.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { toMeasuredInto } from "../../src/optics/interface.ts";
import { matern } from "../../src/shelf/priors.ts";
import type { Shelf, ShelfFilm, ShelfReading } from "../../src/shelf/shelf.ts";

/** An invented shelf whose truth is known. */
export interface SimulatedShelf {
  readonly shelf: Shelf;
  /** true K and S for each component, per unit of amount */
  readonly K: readonly Float64Array[];
  readonly S: readonly Float64Array[];
  /** what an instrument would read of the films that are to be predicted, and which readings they are */
  readonly held: readonly { readonly reading: number; readonly reflectance: Float64Array }[];
}

export interface Simulation {
  readonly pastes: number;
  /** films from which the shelf is learnt: the first of each paste alone, then mixtures of two or three */
  readonly films: number;
  readonly predicted: number;
  readonly seed: number;
  /** share of the learnt films that are read as Lab */
  readonly asLab?: { readonly from: number; readonly weights: TristimulusWeights };
}

const thicknessError = 0.1;
const doseError = 0.03;
const surface = { externalReflection: 0.04, internalReflection: 0.6 };

/**
 * Pastes with bands of Gaussian shape (their own form, not that of the prior), films between 10 and 40 µm over black and
 * white, doses and thickness as poured by hand, readings with noise and a smooth misfit of about one unit of L*.
 */
export function simulateShelf({ pastes, films: learnt, predicted, seed, asLab }: Simulation): SimulatedShelf {
  const random = seededRandom(seed);
  const nm = wavelengthsOf(workingGrid);
  const between = (low: number, high: number) => low + (high - low) * random();
  const curves = Array.from({ length: pastes }, () => {
    const bands = Array.from({ length: 1 + Math.floor(random() * 3) }, () => [
      between(380, 680),
      between(25, 70),
      Math.exp(between(Math.log(0.02), Math.log(0.4))),
    ]);
    const floor = Math.exp(between(Math.log(0.0005), Math.log(0.005)));
    const K = nm.map((at) =>
      bands.reduce((sum, [c, w, h]) => sum + h * Math.exp(-0.5 * ((at - c) / w) ** 2), floor),
    );
    const level = Math.exp(between(Math.log(0.01), Math.log(0.2)));
    const power = between(-1.5, 0);
    return { K, S: nm.map((at) => level * (at / 550) ** power) };
  });
  const grounds = [new Float64Array(nm.length).fill(0.01), new Float64Array(nm.length).fill(0.92)];
  const films: ShelfFilm[] = [];
  const readings: ShelfReading[] = [];
  const held: { reading: number; reflectance: Float64Array }[] = [];
  for (let f = 0; f < learnt + predicted; f++) {
    const alone = f < 2 * pastes && f < learnt;
    const count = alone ? 1 : random() < 0.7 ? 2 : 3;
    const components = new Set<number>(alone ? [f % pastes] : []);
    for (let k = 0; components.size < count && k < 100; k++) components.add(Math.floor(random() * pastes));
    const doses = [...components].map(() => between(0.1, 1));
    const total = doses.reduce((sum, one) => sum + one, 0);
    const thickness = between(10, 40);
    const parts = [...components].map((component, k) => ({
      component,
      amount: (thickness * doses[k]) / total,
    }));
    const poured = parts.map(({ amount }) => amount * Math.exp(doseError * normal(random)));
    const laid = thickness * Math.exp(thicknessError * normal(random));
    const whole = poured.reduce((sum, one) => sum + one, 0);
    const K = new Float64Array(nm.length);
    const S = new Float64Array(nm.length);
    parts.forEach(({ component }, k) => {
      const X = (laid * poured[k]) / whole;
      for (let i = 0; i < nm.length; i++) {
        K[i] += X * curves[component].K[i];
        S[i] += X * curves[component].S[i];
      }
    });
    const ground = f % 2;
    const reflectance = new Float64Array(nm.length);
    filmReflectanceInto(K, S, 1, grounds[ground], reflectance);
    toMeasuredInto(
      reflectance,
      surface.externalReflection,
      surface.internalReflection,
      "included",
      reflectance,
    );
    blur(reflectance, nm, random);
    const seen =
      f >= learnt
        ? undefined
        : asLab && f >= asLab.from
          ? ({
              kind: "Lab",
              sigma: 0.5,
              weights: asLab.weights,
              Lab: labOf(reflectance, asLab.weights, random),
            } as const)
          : ({ kind: "spectrum", reflectance } as const);
    if (f >= learnt) held.push({ reading: readings.length, reflectance });
    readings.push({ films: [films.length], ground, specular: "included", seen });
    films.push({ label: `film ${f + 1}`, parts, thicknessSigma: thicknessError, doseSigma: doseError });
  }
  const components = curves.map((_, c) => ({ name: `paste ${c + 1}` }));
  const shelf = { wavelengths: nm, components, grounds, films, readings, surface };
  return { shelf, K: curves.map(({ K }) => K), S: curves.map(({ S }) => S), held };
}

function labOf(R: Float64Array, weights: TristimulusWeights, random: () => number): [number, number, number] {
  const [L, a, b] = reflectanceToLab(R, weights, new Float64Array(3));
  return [L + 0.5 * normal(random), a + 0.5 * normal(random), b + 0.5 * normal(random)];
}

/** A misfit of 0.01 in the cube root, smooth over 60 nm, and 0.2 % of noise. */
function blur(R: Float64Array, nm: Float64Array, random: () => number): void {
  const knots = Array.from({ length: 12 }, (_, k) => 350 + 36 * k);
  const z = knots.map(() => normal(random));
  for (let i = 0; i < nm.length; i++) {
    let sum = 0;
    let squares = 0;
    knots.forEach((knot, k) => {
      const w = matern(nm[i] - knot, 45);
      sum += w * z[k];
      squares += w * w;
    });
    R[i] = Math.max(Math.cbrt(R[i]) + (0.01 * sum) / Math.sqrt(squares), 0.1) ** 3 + 0.002 * normal(random);
  }
}
