import type { Component } from "../coating/component.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { solveInPlace } from "../fit/denseAlgebra.ts";
import { sumOf } from "../fit/sumOf.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import type { DepthModel } from "./filmStack.ts";
import type { Finish } from "./finish.ts";
import { ForwardModel } from "./forward.ts";

/** What was measured on a test panel of the pot. */
export type PanelReading =
  | {
      readonly kind: "spectrum" /** As seen: specular excluded plus sheen. */;
      readonly seen: ArrayLike<number>;
    }
  | { readonly kind: "lab"; readonly Lab: ArrayLike<number> };

/** How far doses and pigment data are trusted, and how far the reading is, as standard deviations. */
export interface Trust {
  /** Of each dose, relative. */
  readonly dose: number;
  /** Of K/S of the mix as a smooth function of wavelength, relative. */
  readonly ratio: number;
  /** Of a reading: reflectance, or CIELAB units. */
  readonly reflectance: number;
  readonly Lab: number;
}

/** Doses within 20 %, K/S within 5 %, reflectance within 0.002, CIELAB within 0.2 (our choice; editable). */
export const usualTrust: Trust = Object.freeze({ dose: 0.2, ratio: 0.05, reflectance: 0.002, Lab: 0.2 });

/** The likeliest difference between a pot as believed and as measured. */
export interface Discrepancy {
  /** Factor on each component's dose. */
  readonly doseFactors: Float64Array;
  /** Smooth factor on K/S at each wavelength beside that. */
  readonly ratioFactors: Float64Array;
  /** K/S of the pot as measured over K/S as believed, both causes together. */
  readonly wholeRatio: Float64Array;
  /**
   * What is left unexplained of the panel's CIELAB in each light: reading minus prediction. A Lab reading tells it in the main
   * light only; it is zero in the others.
   */
  readonly offsets: readonly Float64Array[];
  /** K·φ and S·φ of the pot's wet mix: its dry film's coefficients times its volume solids. */
  readonly wetAbsorption: Float64Array;
  readonly wetScattering: Float64Array;
  readonly volumeSolids: number;
}

interface Sight {
  readonly surface: SurfaceConstants;
  readonly sheen: number;
  /** The main light first; a Lab reading is in it. */
  readonly lights: readonly { readonly weights: TristimulusWeights }[];
}

/** Slow waves over the spectrum that make up the smooth factor. */
const waves = 6;
const rounds = 12;

/**
 * Estimate what is really in a pot from a test panel: wrong doses, and a smooth multiplicative correction of K/S for all else.
 *
 * The likeliest values under normal priors (Trust), by Gauss-Newton steps on the panel's reflectance or CIELAB. What doses and
 * ratio leave unexplained of its colour is kept as an offset.
 *
 * @param pot mL of each component, as believed   @param finish the panel's: opaque, or coats over one ground
 */
export function estimateDiscrepancy(
  components: readonly Component[],
  pot: ArrayLike<number>,
  finish: Finish,
  reading: PanelReading,
  sight: Sight,
  trust: Trust = usualTrust,
): Discrepancy {
  const film = new PotFilm(components, pot, finish.kind === "coats" ? finish.wetThickness : 1);
  const count = film.theta.length;
  const length = film.depths.length;
  const { theta } = film;
  const prior = theta.map((_, p) => (p < film.used.length ? trust.dose : trust.ratio));
  const lights = sight.lights.map(({ weights }) => ({ weights, weight: 1 }));
  const forward = new ForwardModel({
    depths: film.depths,
    finish,
    surface: sight.surface,
    sheen: sight.sheen,
    lights,
    targets: lights.map(() => [50, 0, 0]),
  });
  // The film as it is now; its depth model holds the slopes about it.
  const here = new Float64Array(count);
  const seen = new Float64Array(length);
  const labs = new Float64Array(3 * lights.length);
  const slopes = new Float64Array(count * Math.max(length, labs.length));
  for (let round = 0; round < rounds; round++) {
    film.lay();
    let step: Float64Array;
    if (reading.kind === "spectrum") {
      forward.seenSlopesInto(here, 0, seen, slopes);
      const misses = seen.map((R, k) => reading.seen[k] - R);
      step = likeliestStep(misses, (r, p) => slopes[p * length + r], trust.reflectance, theta, prior);
    } else {
      forward.labSlopesInto(here, labs, slopes);
      const misses = labs.subarray(0, 3).map((v, i) => reading.Lab[i] - v);
      step = likeliestStep(misses, (r, p) => slopes[r * count + p], trust.Lab, theta, prior);
    }
    let largest = 0;
    for (let p = 0; p < count; p++) {
      // Half a power of e at most in one round, and never further than four deviations: a reading that asks for more does not
      // belong to this pot.
      const to = theta[p] + Math.max(-0.5, Math.min(0.5, step[p]));
      const within = Math.max(-4 * prior[p], Math.min(4 * prior[p], to));
      largest = Math.max(largest, Math.abs(within - theta[p]));
      theta[p] = within;
    }
    if (largest < 1e-8) break;
  }
  film.lay();
  forward.labsInto(here, labs);
  const offsets = lights.map(({ weights }, l) => {
    if (reading.kind === "lab" && l > 0) return new Float64Array(3);
    const read =
      reading.kind === "lab" ? reading.Lab : reflectanceToLab(reading.seen, weights, new Float64Array(3));
    return labs.slice(3 * l, 3 * l + 3).map((v, i) => read[i] - v);
  });
  return { ...film.found(), offsets };
}

/** The film of a pot whose doses and K/S are off by `theta`, as a depth model of small changes about it. */
class PotFilm {
  /** Logarithms: of the factor on each dose in use, then of what each wave does to K/S. */
  readonly theta: Float64Array;
  /** Components in use. */
  readonly used: readonly number[];
  readonly depths: DepthModel;
  readonly #components: readonly Component[];
  readonly #pot: ArrayLike<number>;
  readonly #thickness: number;
  readonly #waves: readonly Float64Array[];
  /** K and S of each component in use, per wet share. */
  readonly #films: readonly { readonly alpha: Float64Array; readonly sigma: Float64Array }[];
  readonly #shares: Float64Array;
  readonly #bend: Float64Array;

  constructor(components: readonly Component[], pot: ArrayLike<number>, thickness: number) {
    const { length } = components[0].absorption;
    this.#components = components;
    this.#pot = pot;
    this.#thickness = thickness;
    this.used = Array.from(components.keys()).filter((j) => pot[j] > 0);
    this.#films = this.used.map((j) => {
      const { absorption, scattering, volumeSolids } = components[j];
      const depth = (values: Float64Array) => values.map((v) => thickness * volumeSolids * v);
      return { alpha: depth(absorption), sigma: depth(scattering) };
    });
    this.#waves = Array.from({ length: waves }, (_, w) =>
      Float64Array.from(
        { length },
        (_, k) => Math.cos((Math.PI * w * (k + 0.5)) / length) * (w === 0 ? 1 : Math.SQRT2 / w),
      ),
    );
    const variables = this.used.length + waves;
    this.theta = new Float64Array(variables);
    this.#shares = new Float64Array(this.used.length);
    this.#bend = new Float64Array(length);
    const row = (rows = 1) => new Float64Array(rows * length);
    this.depths = {
      length,
      baseAlpha: row(),
      baseSigma: row(),
      alpha: row(variables),
      sigma: row(variables),
      variables,
    };
  }

  /** Depths at `theta` and their slopes, left in `depths`. */
  lay(): void {
    const { length, baseAlpha, baseSigma, alpha, sigma } = this.depths;
    const { theta, used } = this;
    const shares = this.#shares;
    const bend = this.#bend;
    for (let p = 0; p < used.length; p++) shares[p] = this.#pot[used[p]] * Math.exp(theta[p]);
    const total = sumOf(shares);
    baseAlpha.fill(0);
    baseSigma.fill(0);
    this.#films.forEach((film, p) => {
      shares[p] /= total;
      for (let k = 0; k < length; k++) {
        baseAlpha[k] += shares[p] * film.alpha[k];
        baseSigma[k] += shares[p] * film.sigma[k];
      }
    });
    for (let k = 0; k < length; k++) {
      let c = 0;
      for (let w = 0; w < waves; w++) c += theta[used.length + w] * this.#waves[w][k];
      bend[k] = Math.exp(c / 2);
      baseAlpha[k] *= bend[k];
      baseSigma[k] /= bend[k];
    }
    // Shares are normalised: a dose that grows also thins the rest.
    this.#films.forEach((film, p) => {
      for (let k = 0; k < length; k++) {
        alpha[p * length + k] = shares[p] * (film.alpha[k] * bend[k] - baseAlpha[k]);
        sigma[p * length + k] = shares[p] * (film.sigma[k] / bend[k] - baseSigma[k]);
      }
    });
    this.#waves.forEach((wave, w) => {
      const row = (used.length + w) * length;
      for (let k = 0; k < length; k++) {
        alpha[row + k] = (baseAlpha[k] * wave[k]) / 2;
        sigma[row + k] = (-baseSigma[k] * wave[k]) / 2;
      }
    });
  }

  /** What `theta` says, once laid. */
  found(): Omit<Discrepancy, "offsets"> {
    const { baseAlpha: alpha, baseSigma: sigma } = this.depths;
    const doseFactors = new Float64Array(this.#components.length).fill(1);
    let volumeSolids = 0;
    this.used.forEach((j, p) => {
      doseFactors[j] = Math.exp(this.theta[p]);
      volumeSolids += this.#shares[p] * this.#components[j].volumeSolids;
    });
    const wholeRatio = alpha.map((_, k) => {
      const believed = (depth: "alpha" | "sigma") =>
        this.#films.reduce((sum, film, p) => sum + this.#pot[this.used[p]] * film[depth][k], 0);
      return ((alpha[k] / sigma[k]) * believed("sigma")) / believed("alpha");
    });
    return {
      doseFactors,
      ratioFactors: this.#bend.map((b) => b * b),
      wholeRatio,
      wetAbsorption: alpha.map((a) => a / this.#thickness),
      wetScattering: sigma.map((s) => s / this.#thickness),
      volumeSolids,
    };
  }
}

/**
 * Gauss-Newton step of normally distributed readings and parameters.
 * @param misses reading minus prediction   @param slope of prediction r by parameter p
 * @param sigma standard deviation of the readings   @param prior standard deviation of each parameter about 0
 */
function likeliestStep(
  misses: Float64Array,
  slope: (r: number, p: number) => number,
  sigma: number,
  theta: Float64Array,
  prior: Float64Array,
): Float64Array {
  const count = theta.length;
  const normal = new Float64Array(count * count);
  const step = new Float64Array(count);
  for (let p = 0; p < count; p++) {
    for (let r = 0; r < misses.length; r++) {
      const own = slope(r, p) / sigma ** 2;
      step[p] += own * misses[r];
      for (let q = 0; q < count; q++) normal[p * count + q] += own * slope(r, q);
    }
    normal[p * count + p] += 1 / prior[p] ** 2;
    step[p] -= theta[p] / prior[p] ** 2;
  }
  solveInPlace(normal, step, count, count);
  return step;
}
