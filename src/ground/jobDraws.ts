import type { Component } from "../coating/component.ts";
import { type JointDraws, posteriorsOf } from "../coating/jointDraws.ts";
import { normal } from "../fit/seededRandom.ts";
import { sumOf } from "../fit/sumOf.ts";
import type { GroundJob } from "./job.ts";
import { drawBuild, type JobSpread } from "./spread.ts";
import { blendWetInto, type WetFilm, wetFilmOf } from "./wetFilm.ts";

interface Band extends WetFilm {
  /** One standard deviation of each, per µm of wet film. */
  readonly sigmaK: Float64Array;
  readonly sigmaS: Float64Array;
  /** 1σ of ln of a factor on both. */
  readonly scaleSigma: number;
  readonly joint?: JointBand;
}

/** A component that was found together with others. */
interface JointBand {
  /** Which of the posteriors of the job. */
  readonly posterior: number;
  readonly count: number;
  /** Factors of K, then of S, at each wavelength, draw by draw. */
  readonly factors: Float64Array;
}

/**
 * Draws of a job with everything in it a little off: film builds, the blend, doses, and the coefficients of every component.
 * A draw is a plain array of numbers; its parts by source can be exchanged for another's.
 *
 * The band of a component's K moves as one over all wavelengths, and that of its S by itself: what
 * calibration gets wrong (film thickness, amount, surface) it gets wrong all along the spectrum. Noise of
 * single wavelengths would average out.
 *
 * Components that were found together move by whole draws of their posterior instead: all of them by the same one.
 */
export class JobDraws {
  readonly spread: JobSpread;
  readonly #paints: readonly Band[];
  readonly #components: readonly Band[];
  /** Where the numbers of each source begin in a draw, and where the last ends. */
  readonly #starts: readonly number[];
  /** Where the places within the posteriors begin, evenly spread numbers from 0 to 1. */
  readonly #posteriorsAt: number;
  readonly #uncertain: readonly boolean[];

  constructor(job: GroundJob, spread: JobSpread) {
    this.spread = spread;
    const posteriors = [...posteriorsOf([...job.recipe.components, ...job.paints]).keys()];
    const band = (component: Component) => bandOf(component, spread, posteriors);
    this.#paints = job.paints.map(band);
    this.#components = job.recipe.components.map(band);
    const n = this.#components.length;
    const m = this.#paints.length;
    this.#posteriorsAt = 3 + n + 2 * (n + m);
    this.#starts = [0, 1, 2, 3, 3 + n, this.#posteriorsAt + posteriors.length];
    const banded = [...this.#paints, ...this.#components].some(
      ({ sigmaK, sigmaS, scaleSigma, joint }) =>
        joint || scaleSigma > 0 || [sigmaK, sigmaS].some((sigma) => sigma.some((value) => value > 0)),
    );
    this.#uncertain = [
      spread.filmBuild.colour > 0,
      spread.filmBuild.basecoat > 0 && job.basecoatWet > 0,
      spread.ratio > 0 && m > 1 && job.basecoatWet > 0,
      spread.doseStep > 0,
      spread.coefficientBands > 0 && banded,
    ];
  }

  /** Whether a source moves anything at all. */
  isUncertain(source: number): boolean {
    return this.#uncertain[source];
  }

  create(): Float64Array {
    return new Float64Array(this.#starts[this.#starts.length - 1]);
  }

  /** Fill a draw. The same numbers are taken from the stream whatever is uncertain, but for builds below zero. */
  drawInto(random: () => number, out: Float64Array): void {
    const { filmBuild } = this.spread;
    out[0] = drawBuild(random, filmBuild.colour);
    out[1] = drawBuild(random, filmBuild.basecoat);
    out[2] = normal(random);
    const doses = this.#starts[3];
    const bands = this.#starts[4];
    for (let i = doses; i < bands; i++) out[i] = random() - 0.5;
    for (let i = bands; i < this.#posteriorsAt; i++) out[i] = normal(random);
    for (let i = this.#posteriorsAt; i < out.length; i++) out[i] = random();
  }

  /** `out` becomes `own`, but with the numbers of one source from `other`. */
  exchangeInto(own: Float64Array, other: Float64Array, source: number, out: Float64Array): void {
    out.set(own);
    for (let i = this.#starts[source]; i < this.#starts[source + 1]; i++) out[i] = other[i];
  }

  colourBuild(draw: Float64Array): number {
    return draw[0];
  }

  basecoatBuild(draw: Float64Array): number {
    return draw[1];
  }

  /** The blend ratio as poured. */
  ratio(draw: Float64Array, planned: number): number {
    return Math.min(1, Math.max(0, planned + this.spread.ratio * draw[2]));
  }

  /** Wet shares as dosed, from those planned. */
  dosesInto(draw: Float64Array, planned: Float64Array, out: Float64Array): void {
    const { batch, doseStep } = this.spread;
    for (let j = 0; j < out.length; j++) {
      // A component that is left out stays out.
      const volume = planned[j] === 0 ? 0 : batch * planned[j] + doseStep * draw[this.#starts[3] + j];
      out[j] = Math.max(0, volume);
    }
    const scale = 1 / (sumOf(out) || batch);
    for (let j = 0; j < out.length; j++) out[j] *= scale;
  }

  /** Film of the colour from its shares, K and S as drawn. */
  colourFilmInto(draw: Float64Array, shares: Float64Array, out: WetFilm): void {
    this.#mixInto(this.#components, shares, draw, this.#starts[4], out);
  }

  /** Film of the basecoat likewise. */
  baseFilmInto(draw: Float64Array, shares: Float64Array, out: WetFilm): void {
    this.#mixInto(this.#paints, shares, draw, this.#starts[4] + 2 * this.#components.length, out);
  }

  #mixInto(
    films: readonly Band[],
    shares: Float64Array,
    draw: Float64Array,
    from: number,
    out: WetFilm,
  ): void {
    if (!this.#uncertain[4]) {
      blendWetInto(films, shares, out);
      return;
    }
    const { absorption, scattering } = out;
    const bands = this.spread.coefficientBands;
    absorption.fill(0);
    scattering.fill(0);
    for (let j = 0; j < films.length; j++) {
      const share = shares[j];
      if (share === 0) continue;
      const { absorption: K, scattering: S, sigmaK, sigmaS, scaleSigma, joint } = films[j];
      if (joint) {
        const { factors, count, posterior } = joint;
        const at = 2 * K.length * Math.floor(draw[this.#posteriorsAt + posterior] * count);
        for (let i = 0; i < absorption.length; i++) {
          absorption[i] += share * K[i] * factors[at + i];
          scattering[i] += share * S[i] * factors[at + K.length + i];
        }
        continue;
      }
      const zK = bands * draw[from + 2 * j];
      const zS = bands * draw[from + 2 * j + 1];
      const weight = scaleSigma === 0 ? share : share * Math.exp(zS * scaleSigma);
      for (let i = 0; i < absorption.length; i++) {
        const k = K[i] + zK * sigmaK[i];
        const s = S[i] + zS * sigmaS[i];
        if (k > 0) absorption[i] += weight * k;
        if (s > 0) scattering[i] += weight * s;
      }
    }
  }
}

function bandOf(
  component: Component,
  { assumedBand: assumed, coefficientBands }: JobSpread,
  posteriors: readonly string[],
): Band {
  const { absorptionSigma, scatteringSigma, scaleSigma = 0, volumeSolids, joint } = component;
  const film = wetFilmOf(component);
  const band = (own: Float64Array | undefined, values: Float64Array): Float64Array =>
    own
      ? own.map((sigma) => sigma * volumeSolids)
      : values.map((value) => (scaleSigma > 0 ? 0 : assumed * value));
  return {
    ...film,
    sigmaK: band(absorptionSigma, film.absorption),
    sigmaS: band(scatteringSigma, film.scattering),
    scaleSigma,
    ...(joint ? { joint: jointBandOf(joint, posteriors.indexOf(joint.posterior), coefficientBands) } : {}),
  };
}

/** Factors of all draws, worked out once; so many bands are that power of them. */
function jointBandOf({ logs }: JointDraws, posterior: number, bands: number): JointBand {
  const { length } = logs[0];
  const factors = new Float64Array(logs.length * length);
  logs.forEach((draw, d) => {
    factors.set(
      draw.map((log) => Math.exp(bands * log)),
      d * length,
    );
  });
  return { posterior, count: logs.length, factors };
}
