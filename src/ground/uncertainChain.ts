import type { Component } from "../coating/component.ts";
import { type Difference, differenceOf } from "../colour/difference.ts";
import { normal } from "../fit/seededRandom.ts";
import { checkJob, type GroundJob, type GroundPoint, wetOfCoats } from "./job.ts";
import { Look } from "./look.ts";
import { drawBuild, type JobSpread } from "./spread.ts";
import {
  createFractions,
  createWetFilm,
  type FilmFraction,
  fractionInto,
  type WetFilm,
  wetFilmOf,
} from "./wetFilm.ts";

interface Band extends WetFilm {
  /** One standard deviation of each, per µm of wet film. */
  readonly sigmaK: Float64Array;
  readonly sigmaS: Float64Array;
}

/**
 * A whole job with everything in it a little off: doses, film builds, the blend, and the coefficients of
 * every component. Draws are plain arrays of numbers; a draw's parts by source can be exchanged for
 * another's. Evaluating allocates nothing.
 *
 * The band of a component's K moves as one over all wavelengths, and that of its S by itself: what
 * calibration gets wrong (film thickness, amount, surface) it gets wrong all along the spectrum. Noise of
 * single wavelengths would average out.
 */
export class UncertainChain {
  readonly #job: GroundJob;
  readonly #point: GroundPoint;
  readonly #spread: JobSpread;
  readonly #paints: readonly Band[];
  readonly #components: readonly Band[];
  readonly #volumes: Float64Array;
  readonly #total: number;
  readonly #wet: number;
  readonly #look: Look;
  readonly #difference: Difference;
  readonly #blend: WetFilm;
  readonly #base: FilmFraction;
  readonly #colour: FilmFraction;
  readonly #shares: Float64Array;
  readonly #doses: Float64Array;
  /** Where the numbers of each source begin in a draw, and where the last ends. */
  readonly #starts: readonly number[];
  readonly #uncertain: readonly boolean[];
  /** Difference of each part at the last draw. */
  readonly differences: Float64Array;

  constructor(job: GroundJob, point: GroundPoint, spread: JobSpread) {
    checkJob(job);
    this.#job = job;
    this.#point = point;
    this.#spread = spread;
    const { components, volumes } = job.recipe;
    this.#paints = job.paints.map((paint) => bandOf(paint, spread.assumedBand));
    this.#components = components.map((component) => bandOf(component, spread.assumedBand));
    this.#volumes = loadedVolumes(components, volumes, point.loading, spread.batch);
    this.#total = spread.batch;
    this.#wet = wetOfCoats(job.coatWets, point.coats);
    this.#look = new Look(job.eye);
    this.#difference = differenceOf(job.formula);
    const { length } = job.eye.weights.x;
    this.#blend = createWetFilm(length);
    [this.#base, this.#colour] = createFractions(2, length);
    this.#shares = new Float64Array(3);
    this.#doses = new Float64Array(components.length);
    this.differences = new Float64Array(job.substrates.length);
    const n = components.length;
    const m = job.paints.length;
    this.#starts = [0, 1, 2, 3, 3 + n, 3 + n + 2 * (n + m)];
    const banded =
      spread.coefficientBands > 0 &&
      [...this.#paints, ...this.#components].some(({ sigmaK, sigmaS }) =>
        [sigmaK, sigmaS].some((sigma) => sigma.some((value) => value > 0)),
      );
    this.#uncertain = [
      spread.filmBuild.colour > 0,
      spread.filmBuild.basecoat > 0 && job.basecoatWet > 0,
      spread.ratio > 0 && m > 1 && job.basecoatWet > 0,
      spread.doseStep > 0,
      banded,
    ];
  }

  /** Whether a source moves anything at all. */
  isUncertain(source: number): boolean {
    return this.#uncertain[source];
  }

  createDraw(): Float64Array {
    return new Float64Array(this.#starts[this.#starts.length - 1]);
  }

  /**
   * Fill a draw. The same numbers are taken from the stream whatever is uncertain, but for builds below zero.
   */
  draw(random: () => number, out: Float64Array): void {
    const { filmBuild } = this.#spread;
    out[0] = drawBuild(random, filmBuild.colour);
    out[1] = drawBuild(random, filmBuild.basecoat);
    out[2] = normal(random);
    const doses = this.#starts[3];
    const bands = this.#starts[4];
    for (let i = doses; i < bands; i++) out[i] = random() - 0.5;
    for (let i = bands; i < out.length; i++) out[i] = normal(random);
  }

  /** `out` becomes `own`, but with the numbers of one source from `other`. */
  exchangeInto(own: Float64Array, other: Float64Array, source: number, out: Float64Array): void {
    const from = this.#starts[source];
    const to = this.#starts[source + 1];
    for (let i = 0; i < out.length; i++) out[i] = i >= from && i < to ? other[i] : own[i];
  }

  /** Greatest difference over the parts for a draw; the parts' own are left in `differences`. */
  difference(draw: Float64Array): number {
    this.#layBase(draw, this.#point.ratio);
    this.#layColour(draw, this.#wet);
    return this.#compare();
  }

  /** Make ready for `differenceAt`: lay the film that the setting leaves alone. */
  hold(draw: Float64Array, setting: "ratio" | "coats"): void {
    if (setting === "ratio") this.#layColour(draw, this.#wet);
    else this.#layBase(draw, this.#point.ratio);
  }

  /** As `difference`, at another ratio or number of coats; after `hold` for the same draw and setting. */
  differenceAt(draw: Float64Array, setting: "ratio" | "coats", value: number): number {
    if (setting === "ratio") this.#layBase(draw, value);
    else this.#layColour(draw, wetOfCoats(this.#job.coatWets, value));
    return this.#compare();
  }

  #compare(): number {
    const { substrates, target } = this.#job;
    let worst = -1;
    for (let part = 0; part < substrates.length; part++) {
      const d = this.#difference(target, this.#look.through(this.#colour, this.#base, substrates[part]));
      this.differences[part] = d;
      if (d > worst) worst = d;
    }
    return worst;
  }

  #layBase(draw: Float64Array, planned: number): void {
    const { thirdShare, basecoatBuild } = this.#point;
    const shares = this.#shares;
    const paints = this.#paints;
    const poured = planned + this.#spread.ratio * draw[2];
    const ratio = Math.min(1, Math.max(0, poured));
    const rest = paints.length > 2 ? 1 - thirdShare : 1;
    shares[0] = paints.length > 1 ? rest * (1 - ratio) : 1;
    shares[1] = rest * ratio;
    shares[2] = thirdShare;
    this.#mix(paints, shares, draw, this.#starts[4] + 2 * this.#components.length);
    fractionInto(this.#blend, draw[1] * basecoatBuild * this.#job.basecoatWet, this.#base);
  }

  #layColour(draw: Float64Array, wet: number): void {
    const doses = this.#doses;
    const volumes = this.#volumes;
    const from = this.#starts[3];
    const { doseStep } = this.#spread;
    let total = 0;
    for (let j = 0; j < doses.length; j++) {
      // A component that is left out stays out.
      const volume = volumes[j] === 0 ? 0 : volumes[j] + doseStep * draw[from + j];
      doses[j] = Math.max(0, volume);
      total += doses[j];
    }
    const scale = total > 0 ? 1 / total : 1 / this.#total;
    for (let j = 0; j < doses.length; j++) doses[j] *= scale;
    this.#mix(this.#components, doses, draw, this.#starts[4]);
    fractionInto(this.#blend, draw[0] * this.#point.colourBuild * wet, this.#colour);
  }

  #mix(films: readonly Band[], shares: Float64Array, draw: Float64Array, from: number): void {
    const { absorption, scattering } = this.#blend;
    const { length } = absorption;
    absorption.fill(0);
    scattering.fill(0);
    const bands = this.#uncertain[4] ? this.#spread.coefficientBands : 0;
    for (let j = 0; j < films.length; j++) {
      const share = shares[j];
      if (share === 0) continue;
      const { absorption: K, scattering: S, sigmaK, sigmaS } = films[j];
      if (bands === 0) {
        for (let i = 0; i < length; i++) {
          absorption[i] += share * K[i];
          scattering[i] += share * S[i];
        }
        continue;
      }
      const zK = bands * draw[from + 2 * j];
      const zS = bands * draw[from + 2 * j + 1];
      for (let i = 0; i < length; i++) {
        const k = K[i] + zK * sigmaK[i];
        const s = S[i] + zS * sigmaS[i];
        if (k > 0) absorption[i] += share * k;
        if (s > 0) scattering[i] += share * s;
      }
    }
  }
}

function bandOf(component: Component, assumed: number): Band {
  const { absorptionSigma, scatteringSigma, volumeSolids } = component;
  const film = wetFilmOf(component);
  const band = (own: Float64Array | undefined, values: Float64Array): Float64Array =>
    own ? own.map((sigma) => sigma * volumeSolids) : values.map((value) => assumed * value);
  return {
    ...film,
    sigmaK: band(absorptionSigma, film.absorption),
    sigmaS: band(scatteringSigma, film.scattering),
  };
}

/** Amounts for a batch, mL, at a loading. */
function loadedVolumes(
  components: readonly Component[],
  volumes: ArrayLike<number>,
  loading: number | undefined,
  batch: number,
): Float64Array {
  let total = 0;
  let pastes = 0;
  components.forEach(({ role }, j) => {
    total += volumes[j];
    if (role === "paste") pastes += volumes[j];
  });
  if (!(total > 0)) throw new RangeError("wet volumes are all 0 mL: a mix needs at least one amount above 0");
  const share = loading ?? pastes / total;
  return Float64Array.from(components, ({ role }, j) => {
    const [part, of] = role === "paste" ? [share, pastes] : [1 - share, total - pastes];
    if (part > 0 && of === 0)
      throw new RangeError(`loading = ${share}: the recipe has no component to make it up with`);
    return part > 0 ? (batch * part * volumes[j]) / of : 0;
  });
}
