import { EigenvalueDecomposition, Matrix } from "ml-matrix";

// What is held likely before any film was seen. Amounts are counted in the middle thickness of the films at hand
// (`unitOf` in compiledShelf.ts), so that K and S below are optical depths of a usual film and need no absolute unit.
// All logarithms are natural.

/** One set of prior beliefs; a calibration is the average over several. */
export interface ShelfPrior {
  /** mean and 1σ of the level of ln K */
  readonly absorptionLevel: readonly [mean: number, sigma: number];
  /** 1σ of ln K about its level, and the length along the wavelength over which it keeps, nm */
  readonly absorptionShape: readonly [sigma: number, length: number];
  readonly scatteringLevel: readonly [mean: number, sigma: number];
  readonly scatteringShape: readonly [sigma: number, length: number];
}

/**
 * The priors that are averaged over. Reasons, none of them taken from a particular set of films:
 * - levels: a film that somebody lays to learn from it neither hides outright nor is invisible, so K and S of a usual film
 *   lie about 1, within a factor of 4 or 5 either way at 1σ;
 * - shape of K: between window and band pigments swing over two to three powers of ten, so 1σ is a factor of 4 to 5;
 *   absorption bands and edges of pigments are 30 to 60 nm wide;
 * - shape of S: by Mie theory scattering of pigment particles follows a power of the wavelength between 0 and −2, nearly
 *   straight in the logarithm: a factor of up to 3.7 from 380 to 730 nm, so long lengths and a 1σ of a factor of 1.8.
 * The lengths are the least certain of these, so a short and a long one of each are tried.
 *
 * Both shapes are those of measured pigments: of 14 artists' acrylics (Okumura 2005) ln K swings about its level by 1.5 in the
 * median (0.2 to 3.6), ln S by 0.6.
 *
 * What ladders over one white ground leave open (how strongly a white scatters, K where a paint hides) no reasonable choice
 * settles: on the measured ladders of test/reference nine of ten mixtures lie within ΔE00 7 to 12 of their prediction, medians
 * 2.4 to 3.9, over seeds, other tails, other ties between films of one mixture, a surface of each film or an offset of the
 * instrument as unknowns, one offset for all of a reading, repeated readings of a ladder as bounds alone, the rounding of the
 * amounts, and twelve times as many paths. The worst four are all of one pair with the white, and each lies in its band. One
 * let-down in white for each paint settles it.
 */
export const usualPriors: readonly ShelfPrior[] = [
  [30, 200],
  [30, 400],
  [60, 200],
  [60, 400],
].map(([lengthK, lengthS]) => ({
  absorptionLevel: [0, 1.5],
  absorptionShape: [1.5, lengthK],
  scatteringLevel: [0, 1.5],
  scatteringShape: [0.6, lengthS],
}));

/** A smooth random curve: mean + basis · z with z standard normal; basis row by row, `modes` columns. */
export interface CurvePrior {
  readonly mean: Float64Array;
  readonly basis: Float64Array;
  readonly modes: number;
}

/** Correlation of a Matérn 5/2 process at a distance. Source: Rasmussen, Williams 2006, equation 4.17. */
export function matern(distance: number, length: number): number {
  const x = (Math.sqrt(5) * Math.abs(distance)) / length;
  return (1 + x + (x * x) / 3) * Math.exp(-x);
}

/**
 * What the left-out modes of a curve may hold, 1σ: a hundredth of its own, or of a curve that is known well, 1 % of K or S,
 * far below what any film tells.
 */
const leftOut = 0.01;

/**
 * A Gaussian process along the wavelength in its principal modes, the least of which are left out.
 *
 * @param levelSigma 1σ of its level   @param sigma 1σ about the level   @param length of the correlation, nm
 * @param known whether the mean is a curve that was known beforehand
 */
export function curvePrior(
  wavelengths: Float64Array,
  mean: Float64Array,
  levelSigma: number,
  sigma: number,
  length: number,
  known = false,
): CurvePrior {
  const n = wavelengths.length;
  const covariance = new Matrix(n, n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      const along = sigma * sigma * matern(wavelengths[i] - wavelengths[j], length);
      covariance.set(i, j, levelSigma * levelSigma + along);
    }
  }
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(covariance, {
    assumeSymmetric: true,
  });
  const order = realEigenvalues.map((_, k) => k).sort((a, b) => realEigenvalues[b] - realEigenvalues[a]);
  const allowed = n * leftOut * leftOut * Math.max(sigma * sigma, known ? 1 : 0);
  let modes = n;
  let tail = 0;
  for (; modes > 1; modes--) {
    tail += Math.max(realEigenvalues[order[modes - 1]], 0);
    if (tail > allowed) break;
  }
  const basis = new Float64Array(n * modes);
  for (let m = 0; m < modes; m++) {
    const root = Math.sqrt(Math.max(realEigenvalues[order[m]], 0));
    for (let i = 0; i < n; i++) basis[i * modes + m] = root * eigenvectorMatrix.get(i, order[m]);
  }
  return { mean, basis, modes };
}
