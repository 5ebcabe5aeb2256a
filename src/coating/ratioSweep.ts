import { filmLayer, filmReflectanceInto } from "../optics/film.ts";
import type { Component } from "./component.ts";
import type { Eye } from "./eye.ts";
import type { Film } from "./paintedPart.ts";

/** The fixed side of a sweep over the basecoat ratio. */
export interface RatioSweepSetting {
  /** Two or three base paints. */
  readonly paints: readonly Component[];
  /** Share of the third paint in the whole, 0…1. */
  readonly thirdShare: number;
  /** Wet thickness of all basecoats together, µm. */
  readonly basecoatWetThickness: number;
  readonly colour: Film;
  /** Internal reflectance of every part on the working grid. */
  readonly substrates: readonly Float64Array[];
  readonly eye: Eye;
  /** Target in the eye's conditions. */
  readonly target: ArrayLike<number>;
  readonly difference: (reference: ArrayLike<number>, sample: ArrayLike<number>) => number;
}

export interface RatioSweep {
  readonly ratios: Float64Array;
  /** Difference to the target for each part at each ratio. */
  readonly differences: readonly Float64Array[];
  /** The greatest of them at each ratio. */
  readonly worst: Float64Array;
  /** Tristimulus values of the worst part at each ratio, three for each. */
  readonly colours: Float64Array;
}

/**
 * Colour of every part against the blend ratio of the basecoat. Holds work space: one evaluation allocates nothing.
 * Films by Kubelka 1948, the colour film composed with each ground by its own reflectance and transmittance (Kubelka 1954).
 */
export class RatioSweeper {
  readonly #setting: RatioSweepSetting;
  readonly #baseK: Float64Array;
  readonly #baseS: Float64Array;
  readonly #ground: Float64Array;
  readonly #internal: Float64Array;
  readonly #colourR: Float64Array;
  readonly #colourT2: Float64Array;
  readonly #Lab = new Float64Array(3);
  readonly #XYZ = new Float64Array(3);
  /** Tristimulus values of the worst part at the last ratio. */
  readonly worstXYZ = new Float64Array(3);
  /** Differences of the parts at the last ratio. */
  readonly differences: Float64Array;

  constructor(setting: RatioSweepSetting) {
    this.#setting = setting;
    const { colour, substrates } = setting;
    const length = colour.absorption.length;
    this.#baseK = new Float64Array(length);
    this.#baseS = new Float64Array(length);
    this.#ground = new Float64Array(length);
    this.#internal = new Float64Array(length);
    this.#colourR = new Float64Array(length);
    this.#colourT2 = new Float64Array(length);
    this.differences = new Float64Array(substrates.length);
    filmLayer(colour.absorption, colour.scattering, colour.dryThickness, this.#colourR, this.#colourT2);
    for (let i = 0; i < length; i++) this.#colourT2[i] *= this.#colourT2[i];
  }

  /** Greatest difference over the parts at a ratio. */
  at(ratio: number): number {
    const { substrates, eye, target, difference, basecoatWetThickness } = this.#setting;
    const dryThickness = this.#blend(ratio) * basecoatWetThickness;
    let worst = -1;
    for (let part = 0; part < substrates.length; part++) {
      filmReflectanceInto(this.#baseK, this.#baseS, dryThickness, substrates[part], this.#ground);
      this.#cover();
      eye.labOfInternal(this.#internal, this.#Lab);
      const d = difference(target, this.#Lab);
      this.differences[part] = d;
      if (d > worst) {
        worst = d;
        eye.lastXYZ(this.#XYZ);
        this.worstXYZ.set(this.#XYZ);
      }
    }
    return worst;
  }

  /** Fill the basecoat's coefficients for a ratio; returns the blend's volume solids. */
  #blend(ratio: number): number {
    const { paints, thirdShare } = this.#setting;
    const rest = paints.length > 2 ? 1 - thirdShare : 1;
    const K = this.#baseK;
    const S = this.#baseS;
    K.fill(0);
    S.fill(0);
    let volumeSolids = 0;
    for (let j = 0; j < paints.length; j++) {
      volumeSolids +=
        (j === 0 ? rest * (1 - ratio) : j === 1 ? rest * ratio : thirdShare) * paints[j].volumeSolids;
    }
    for (let j = 0; j < paints.length; j++) {
      const wet = j === 0 ? rest * (1 - ratio) : j === 1 ? rest * ratio : thirdShare;
      const c = (wet * paints[j].volumeSolids) / volumeSolids;
      const { absorption, scattering } = paints[j];
      for (let i = 0; i < K.length; i++) {
        K[i] += c * absorption[i];
        S[i] += c * scattering[i];
      }
    }
    return volumeSolids;
  }

  #cover(): void {
    const R = this.#colourR;
    const T2 = this.#colourT2;
    const ground = this.#ground;
    const internal = this.#internal;
    for (let i = 0; i < R.length; i++) internal[i] = R[i] + (T2[i] * ground[i]) / (1 - R[i] * ground[i]);
  }

  /** Differences and colours over equally spaced ratios from 0 to 1. */
  sweep(points: number): RatioSweep {
    const ratios = new Float64Array(points);
    const worst = new Float64Array(points);
    const colours = new Float64Array(3 * points);
    const differences = this.#setting.substrates.map(() => new Float64Array(points));
    for (let k = 0; k < points; k++) {
      ratios[k] = k / (points - 1);
      worst[k] = this.at(ratios[k]);
      colours.set(this.worstXYZ, 3 * k);
      for (let part = 0; part < differences.length; part++) differences[part][k] = this.differences[part];
    }
    return { ratios, differences, worst, colours };
  }

  /**
   * Best ratio by golden section around the best point of a sweep.
   * @returns the ratio to 1e-4 and the difference there
   */
  best(sweep: RatioSweep): { ratio: number; difference: number } {
    const { ratios, worst } = sweep;
    let k = 0;
    for (let i = 1; i < worst.length; i++) if (worst[i] < worst[k]) k = i;
    return goldenSection(
      (x) => this.at(x),
      ratios[Math.max(0, k - 1)],
      ratios[Math.min(worst.length - 1, k + 1)],
    );
  }

  /** Ratios around the best between which the difference stays within `margin` of it, by bisection. */
  flatRegion(best: { ratio: number; difference: number }, margin: number): [number, number] {
    const limit = best.difference + margin;
    return [this.#edge(best.ratio, 0, limit), this.#edge(best.ratio, 1, limit)];
  }

  #edge(from: number, to: number, limit: number): number {
    // March outwards first: the curve may rise and fall again beyond the flat region.
    const step = (to - from) / 40;
    let inside = from;
    for (let k = 1; k <= 40; k++) {
      const x = k === 40 ? to : from + k * step;
      if (this.at(x) <= limit) {
        inside = x;
        continue;
      }
      let outside = x;
      for (let n = 0; n < 20; n++) {
        const middle = (inside + outside) / 2;
        if (this.at(middle) <= limit) inside = middle;
        else outside = middle;
      }
      return inside;
    }
    return to;
  }
}

const golden = (Math.sqrt(5) - 1) / 2;

function goldenSection(
  f: (x: number) => number,
  low: number,
  high: number,
): { ratio: number; difference: number } {
  let [a, b] = [low, high];
  let x1 = b - golden * (b - a);
  let x2 = a + golden * (b - a);
  let f1 = f(x1);
  let f2 = f(x2);
  while (b - a > 1e-4) {
    if (f1 < f2) {
      [b, x2, f2] = [x2, x1, f1];
      x1 = b - golden * (b - a);
      f1 = f(x1);
    } else {
      [a, x1, f1] = [x1, x2, f2];
      x2 = a + golden * (b - a);
      f2 = f(x2);
    }
  }
  // The ends of the bracket count too: the best may lie on the border.
  return [low, high, (a + b) / 2]
    .map((ratio) => ({ ratio, difference: f(ratio) }))
    .reduce((best, other) => (other.difference < best.difference ? other : best));
}
