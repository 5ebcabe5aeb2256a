import type { Component } from "../coating/component.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { solveInPlace } from "../fit/denseAlgebra.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import { coatDerivativesInto, filmDerivatives, opaqueDerivativesInto } from "./filmDerivatives.ts";
import type { Finish } from "./forward.ts";

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
  const length = components[0].absorption.length;
  const used = Array.from(components.keys()).filter((j) => pot[j] > 0);
  const count = used.length + waves;
  const thickness = finish.kind === "coats" ? finish.wetThickness : 1;
  const theta = new Float64Array(count);
  const prior = Float64Array.from({ length: count }, (_, p) => (p < used.length ? trust.dose : trust.ratio));
  const wave = (w: number, k: number) =>
    Math.cos((Math.PI * w * (k + 0.5)) / length) * (w === 0 ? 1 : Math.SQRT2 / w);
  const film = filmDerivatives(length);
  const { externalReflection: k1, internalReflection: k2 } = sight.surface;
  const terms = { added: sight.sheen * k1, through: (1 - k1) * (1 - k2), inner: k2 };
  const alpha = new Float64Array(length);
  const sigma = new Float64Array(length);
  const shares = new Float64Array(used.length);
  const bend = new Float64Array(length);
  const slopes = new Float64Array(count * length);

  /** Film of the parameters; with slopes of the seen reflectance by each. */
  const look = (): void => {
    let total = 0;
    used.forEach((j, p) => {
      shares[p] = pot[j] * Math.exp(theta[p]);
      total += shares[p];
    });
    alpha.fill(0);
    sigma.fill(0);
    used.forEach((j, p) => {
      shares[p] /= total;
      const { absorption, scattering, volumeSolids } = components[j];
      for (let k = 0; k < length; k++) {
        alpha[k] += thickness * shares[p] * volumeSolids * absorption[k];
        sigma[k] += thickness * shares[p] * volumeSolids * scattering[k];
      }
    });
    for (let k = 0; k < length; k++) {
      let c = 0;
      for (let w = 0; w < waves; w++) c += theta[used.length + w] * wave(w, k);
      bend[k] = Math.exp(c / 2);
      alpha[k] *= bend[k];
      sigma[k] /= bend[k];
    }
    if (finish.kind === "coats") coatDerivativesInto(alpha, sigma, finish.grounds[0], terms, film);
    else opaqueDerivativesInto(alpha, sigma, terms, film);
    for (let k = 0; k < length; k++) {
      used.forEach((j, p) => {
        // Shares are normalised: a dose that grows also thins the rest.
        const { absorption, scattering, volumeSolids } = components[j];
        const a = shares[p] * (thickness * volumeSolids * absorption[k] * bend[k] - alpha[k]);
        const s = shares[p] * ((thickness * volumeSolids * scattering[k]) / bend[k] - sigma[k]);
        slopes[p * length + k] = film.a[k] * a + film.s[k] * s;
      });
      const byRatio = (film.a[k] * alpha[k] - film.s[k] * sigma[k]) / 2;
      for (let w = 0; w < waves; w++) slopes[(used.length + w) * length + k] = byRatio * wave(w, k);
    }
  };

  const main = sight.lights[0].weights;
  for (let round = 0; round < rounds; round++) {
    look();
    const { misses, rows } = residuals(reading, film.value, slopes, count, main, trust);
    const normal = new Float64Array(count * count);
    const right = new Float64Array(count);
    for (let p = 0; p < count; p++) {
      for (let q = 0; q < count; q++) {
        let sum = 0;
        for (let r = 0; r < misses.length; r++)
          sum += rows[p * misses.length + r] * rows[q * misses.length + r];
        normal[p * count + q] = sum;
      }
      normal[p * count + p] += 1 / prior[p] ** 2;
      let sum = -theta[p] / prior[p] ** 2;
      for (let r = 0; r < misses.length; r++) sum += rows[p * misses.length + r] * misses[r];
      right[p] = sum;
    }
    solveInPlace(normal, right, count, count);
    let largest = 0;
    for (let p = 0; p < count; p++) {
      // Half a power of e at most in one round, and never further than four deviations: a reading that asks for more does not
      // belong to this pot.
      const to = theta[p] + Math.max(-0.5, Math.min(0.5, right[p]));
      const within = Math.max(-4 * prior[p], Math.min(4 * prior[p], to));
      largest = Math.max(largest, Math.abs(within - theta[p]));
      theta[p] = within;
    }
    if (largest < 1e-8) break;
  }
  look();
  const offsets = sight.lights.map(({ weights }, l) => {
    if (reading.kind === "lab" && l > 0) return new Float64Array(3);
    const predicted = reflectanceToLab(film.value, weights, new Float64Array(3));
    const read =
      reading.kind === "lab" ? reading.Lab : reflectanceToLab(reading.seen, weights, new Float64Array(3));
    return predicted.map((v, i) => read[i] - v);
  });

  const doseFactors = new Float64Array(components.length).fill(1);
  let volumeSolids = 0;
  used.forEach((j, p) => {
    doseFactors[j] = Math.exp(theta[p]);
    volumeSolids += shares[p] * components[j].volumeSolids;
  });
  const believed = new Float64Array(length);
  for (let k = 0; k < length; k++) {
    let K = 0;
    let S = 0;
    for (const j of used) {
      K += pot[j] * components[j].volumeSolids * components[j].absorption[k];
      S += pot[j] * components[j].volumeSolids * components[j].scattering[k];
    }
    believed[k] = K / S;
  }
  return {
    doseFactors,
    ratioFactors: bend.map((b) => b * b),
    wholeRatio: believed.map((ratio, k) => alpha[k] / sigma[k] / ratio),
    offsets,
    wetAbsorption: alpha.map((a) => a / thickness),
    wetScattering: sigma.map((s) => s / thickness),
    volumeSolids,
  };
}

/** Reading minus prediction in standard deviations, and the slopes of the prediction in the same unit, row by row. */
function residuals(
  reading: PanelReading,
  seen: Float64Array,
  slopes: Float64Array,
  count: number,
  weights: TristimulusWeights,
  trust: Trust,
): { misses: Float64Array; rows: Float64Array } {
  const length = seen.length;
  if (reading.kind === "spectrum") {
    return {
      misses: seen.map((R, k) => (reading.seen[k] - R) / trust.reflectance),
      rows: slopes.map((slope) => slope / trust.reflectance),
    };
  }
  const breakpoint = 216 / 24389;
  const slope = 24389 / 27 / 116;
  const weighted = [weights.x, weights.y, weights.z];
  const roots = [0, 0, 0];
  const steep = [0, 0, 0];
  weighted.forEach((w, i) => {
    let sum = 0;
    for (let k = 0; k < length; k++) sum += w[k] * seen[k];
    const t = sum / weights.white[i];
    roots[i] = t > breakpoint ? Math.cbrt(t) : slope * t + 16 / 116;
    steep[i] = (t > breakpoint ? roots[i] / (3 * t) : slope) / weights.white[i];
  });
  const Lab = (x: number, y: number, z: number) => [116 * y, 500 * (x - y), 200 * (y - z)];
  const now = Lab(roots[0], roots[1], roots[2]);
  const misses = Float64Array.from(now, (v, i) => (reading.Lab[i] - v + (i === 0 ? 16 : 0)) / trust.Lab);
  const rows = new Float64Array(3 * count);
  for (let p = 0; p < count; p++) {
    const moved = weighted.map((w, i) => {
      let sum = 0;
      for (let k = 0; k < length; k++) sum += w[k] * slopes[p * length + k];
      return sum * steep[i];
    });
    Lab(moved[0], moved[1], moved[2]).forEach((v, i) => {
      rows[3 * p + i] = v / trust.Lab;
    });
  }
  return { misses, rows };
}
