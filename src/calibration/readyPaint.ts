import { CholeskyDecomposition, Matrix } from "ml-matrix";
import { aboveZero, atLeastZero, each, ofLength, wholeNumber } from "../colour/checks.ts";
import { wavelengths, workingGrid } from "../colour/grid.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";
import { ratioFromReflectivity } from "../optics/film.ts";
import { invertTwoGrounds, type TwoGroundReadings } from "../optics/inversion.ts";

/** One film of the paint over a dark and a light ground. */
interface ReadyPaintFilm extends TwoGroundReadings {
  /** dry thickness, µm */
  readonly thickness: number;
  /** its standard uncertainty as a share of it, such as 0.1 */
  readonly thicknessDoubt: number;
}

interface ReadyPaintReading {
  /** internal reflectance of a film that hides, working grid, 0…1 */
  readonly hiding: ArrayLike<number>;
  /** standard uncertainty of each reflectance, > 0 */
  readonly noise: number;
  /** the same paint in a thinner film over black and over white, when it was drawn down */
  readonly film?: ReadyPaintFilm;
}

/** K and S of a paint nobody has calibrated, with the doubt that its reading leaves. */
interface ReadyPaint {
  /** the middle of what is likely, 1/µm, working grid */
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
  /** standard uncertainty of ln K and ln S, of the scale that both share, at 550 nm */
  readonly scaleDoubt: number;
  /** draws of what K and S may be, each as likely as any other, 1/µm */
  readonly draws: readonly { readonly absorption: Float64Array; readonly scattering: Float64Array }[];
}

/**
 * What is believed of the scattering of a paint before more is known of it than its hiding colour; ln S is Gaussian along the
 * spectrum. All from memory, and wide on purpose: a dry film with much titanium white scatters 0.1 to 0.5 per µm; a film of
 * colour at its usual loading absorbs 0.05 to 1 per µm where it absorbs most; fine pigments scatter less towards the red.
 */
const usualScattering = Object.freeze({
  /** S at 550 nm of a paint that hardly absorbs, 1/µm */
  light: 0.2,
  /** The more a paint absorbs for its scattering, the less white is in it: S falls with this power of 1 + K/S at its largest. */
  fall: 1,
  /** 1σ of ln S at 550 nm */
  level: 1.1,
  /** power of the wavelength, and its 1σ */
  power: -0.6,
  powerDoubt: 0.6,
  /** 1σ and correlation length (nm) of what else bends ln S along the spectrum */
  bend: 0.35,
  bendLength: 45,
});

/** Reflectances nearer to 0 or 1 than this tell nothing of K/S. */
const leastReflectance = 1e-4;
const grid = wavelengths(workingGrid);

/**
 * K and S of a ready paint from its colour in a hiding film, which settles K/S but not S, and from a film over black and over
 * white where there is one, which settles S too.
 *
 * K/S = (1 − R∞)²/2R∞ (Kubelka, Munk 1931). ln S is a Gaussian process with the prior above; the two-ground inversion of a
 * film gives ln S with an error at each wavelength and one error of thickness that all share, and the posterior of ln S is
 * again Gaussian (Rasmussen, Williams 2006, eq. 2.22 to 2.24, from memory).
 *
 * @param count number of draws   @param seed whole number; the same seed gives the same draws
 * @throws RangeError, TypeError for readings that are none
 */
export function readyPaint(reading: ReadyPaintReading, count = 64, seed = 1): ReadyPaint {
  const { hiding, noise, film } = reading;
  ofLength("hiding reflectance", hiding, grid.length);
  each("hiding reflectance", hiding, atLeastZero);
  aboveZero("noise", noise);
  wholeNumber("count", count, 1);
  const ratio = Float64Array.from(hiding, ratioOf);
  const belief = believed(ratio);
  const { mean, covariance } = film ? withFilm(belief, film) : belief;
  const spread = new CholeskyDecomposition(covariance).lowerTriangularMatrix;
  const random = seededRandom(seed);
  const draws = Array.from({ length: count }, () => {
    const z = Float64Array.from(grid, () => normal(random));
    // What the instrument is off by, it is off by along the whole spectrum; the rest is its noise.
    const offset = noise * normal(random);
    const scattering = new Float64Array(grid.length);
    const absorption = new Float64Array(grid.length);
    for (let i = 0; i < grid.length; i++) {
      let log = mean[i];
      for (let k = 0; k <= i; k++) log += spread.get(i, k) * z[k];
      scattering[i] = Math.exp(log);
      absorption[i] = scattering[i] * ratioOf(hiding[i] + offset);
    }
    return { absorption, scattering };
  });
  const scattering = Float64Array.from(mean, Math.exp);
  return {
    absorption: scattering.map((S, i) => S * ratio[i]),
    scattering,
    scaleDoubt: Math.sqrt(covariance.get(middle, middle)),
    draws,
  };
}

const middle = grid.indexOf(550);

/** K/S of a film that hides, where its reflectance tells it. */
export function ratioOf(reflectance: number): number {
  return ratioFromReflectivity(Math.min(1 - leastReflectance, Math.max(leastReflectance, reflectance)));
}

interface Belief {
  readonly mean: Float64Array;
  readonly covariance: Matrix;
}

function believed(ratio: Float64Array): Belief {
  const { light, fall, level, power, powerDoubt, bend, bendLength } = usualScattering;
  // Below 420 nm nearly everything absorbs, white too: that says nothing of the rest.
  const largest = ratio.reduce((most, q, i) => (grid[i] >= 420 && q > most ? q : most), 0);
  const base = Math.log(light) - fall * Math.log1p(largest);
  const slope = Float64Array.from(grid, (w) => Math.log(w / 550));
  const covariance = new Matrix(grid.length, grid.length);
  for (let i = 0; i < grid.length; i++) {
    for (let k = 0; k < grid.length; k++) {
      const far = (grid[i] - grid[k]) / bendLength;
      const own = i === k ? 1e-8 : 0;
      covariance.set(
        i,
        k,
        level ** 2 + powerDoubt ** 2 * slope[i] * slope[k] + bend ** 2 * Math.exp(-0.5 * far * far) + own,
      );
    }
  }
  return { mean: slope.map((s) => base + power * s), covariance };
}

/** Bayes for a Gaussian: ln S at each wavelength where the film settles it. */
function withFilm({ mean, covariance }: Belief, film: ReadyPaintFilm): Belief {
  aboveZero("thickness", film.thickness, "µm");
  aboveZero("doubt of the thickness", film.thicknessDoubt);
  const found = invertTwoGrounds(film);
  // How far the inversion moves when the two readings move apart by their noise: its own error at each wavelength.
  const moved = invertTwoGrounds({
    ...film,
    overBlack: Float64Array.from(film.overBlack, (R) => Math.max(0, R - film.noise)),
    overWhite: Float64Array.from(film.overWhite, (R) => Math.min(1, R + film.noise)),
  });
  const places: number[] = [];
  const logs: number[] = [];
  const errors: number[] = [];
  for (let i = 0; i < grid.length; i++) {
    const S = found.scatteringPower[i] / film.thickness;
    if (found.status[i] !== "determined" || S <= 0) continue;
    const other = moved.scatteringPower[i] / film.thickness;
    places.push(i);
    logs.push(Math.log(S));
    errors.push(other > 0 ? Math.max(0.02, Math.abs(Math.log(other / S))) : 3);
  }
  if (places.length === 0) return { mean, covariance };
  const cross = covariance.selection(
    Array.from(grid, (_, i) => i),
    places,
  );
  const seen = covariance.selection(places, places);
  for (let a = 0; a < places.length; a++) {
    for (let b = 0; b < places.length; b++) {
      const own = a === b ? errors[a] ** 2 : 0;
      seen.set(a, b, seen.get(a, b) + film.thicknessDoubt ** 2 + own);
    }
  }
  const solver = new CholeskyDecomposition(seen);
  const gain = solver.solve(cross.transpose()).transpose();
  const misses = Matrix.columnVector(places.map((i, a) => logs[a] - mean[i]));
  const shift = gain.mmul(misses);
  const after = covariance.clone().sub(gain.mmul(cross.transpose()));
  // Rounding must not make it lopsided.
  const even = after.add(after.transpose().clone()).mul(0.5);
  for (let i = 0; i < grid.length; i++) even.set(i, i, even.get(i, i) + 1e-9);
  return { mean: mean.map((value, i) => value + shift.get(i, 0)), covariance: even };
}
