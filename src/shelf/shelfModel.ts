import {
  createFilmParts,
  createFilmSlopes,
  filmPartsInto,
  filmSlopesInto,
} from "../calibration/filmSlopes.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import type { CompiledShelf } from "./compiledShelf.ts";
import { lightness, lightnessSlope, readingError } from "./readingError.ts";

const { freedom, independent, powerSigma, scaleSigma } = readingError;

/**
 * The hot loops of the shelf: minus the logarithm of the posterior with its gradient, and the whitened Jacobian of one
 * reading. Everything is computed into arrays made once.
 */
export class ShelfModel {
  readonly compiled: CompiledShelf;
  /** K and S of every component at the unknowns last set, component by component, in units of the shelf */
  readonly K: Float64Array;
  readonly S: Float64Array;
  /** ln of the scale of the errors */
  logScale = 0;
  /** squared length of the whitened residual of each reading, scale 1 */
  readonly squares: Float64Array;
  readonly #gradK: Float64Array;
  readonly #gradS: Float64Array;
  /** factor of the amount of each part of each film; where a film begins is its place less that of the first film */
  readonly #factors: Float64Array;
  readonly #gradFactors: Float64Array;
  readonly #firstFilm: number;
  /** per layer and point: optical K and S, and what a change of them does to the film above all */
  readonly #layerK: Float64Array;
  readonly #layerS: Float64Array;
  readonly #slopeK: Float64Array;
  readonly #slopeS: Float64Array;
  readonly #slopeGround: Float64Array;
  readonly #measured: Float64Array;
  readonly #slopeMeasured: Float64Array;
  readonly #left: Float64Array;
  readonly #white: Float64Array;
  readonly #back: Float64Array;
  readonly #Lab = new Float64Array(3);
  readonly #slopesOfLab: Float64Array;
  readonly #parts = createFilmParts();
  readonly #slopes = createFilmSlopes();

  constructor(compiled: CompiledShelf) {
    this.compiled = compiled;
    const { points, components, films, readings, size } = compiled;
    const curves = components.length * points;
    this.K = new Float64Array(curves);
    this.S = new Float64Array(curves);
    this.#gradK = new Float64Array(curves);
    this.#gradS = new Float64Array(curves);
    this.#firstFilm = films[0]?.at ?? size - 2;
    this.#factors = new Float64Array(size - 2 - this.#firstFilm);
    this.#gradFactors = new Float64Array(this.#factors.length);
    this.squares = new Float64Array(readings.length);
    const deepest = readings.reduce((most, reading) => Math.max(most, reading.films.length), 1);
    const layers = () => new Float64Array(Math.max(deepest, 8) * points);
    this.#layerK = layers();
    this.#layerS = layers();
    this.#slopeK = layers();
    this.#slopeS = layers();
    this.#slopeGround = layers();
    this.#measured = new Float64Array(points);
    this.#slopeMeasured = new Float64Array(points);
    this.#left = new Float64Array(points);
    this.#white = new Float64Array(points);
    this.#back = new Float64Array(points);
    this.#slopesOfLab = new Float64Array(3 * points);
  }

  /** Sets the unknowns: curves, factors of the amounts, scale. */
  set(q: Float64Array): void {
    const { points, components, films, size } = this.compiled;
    for (let c = 0; c < components.length; c++) {
      const { K, S, at } = components[c];
      for (let i = 0; i < points; i++) {
        let lnK = K.mean[i];
        for (let m = 0; m < K.modes; m++) lnK += K.basis[i * K.modes + m] * q[at + m];
        let lnS = S.mean[i];
        for (let m = 0; m < S.modes; m++) lnS += S.basis[i * S.modes + m] * q[at + K.modes + m];
        // Beyond e^±25 nothing changes any more but the numbers run out.
        this.K[c * points + i] = Math.exp(Math.min(Math.max(lnK, -25), 25));
        this.S[c * points + i] = Math.exp(Math.min(Math.max(lnS, -25), 25));
      }
    }
    const power = powerSigma * q[size - 2];
    for (let f = 0; f < films.length; f++) {
      const { at, spread, amounts, logLaid } = films[f];
      const parts = amounts.length;
      for (let i = 0; i < parts; i++) {
        let u = power * logLaid;
        for (let j = 0; j <= i; j++) u += spread[i * parts + j] * q[at + j];
        this.#factors[at - this.#firstFilm + i] = Math.exp(Math.min(Math.max(u, -12), 12));
      }
    }
    this.logScale = scaleSigma * q[size - 1];
  }

  /**
   * Reflectance of a stack as an instrument sees it, from the unknowns last set, into `#measured`, with the slopes of
   * every layer.
   */
  #stack(films: Int32Array, ground: Float64Array, added: number): void {
    const { points, through, k2 } = this.compiled;
    const R = this.#left;
    R.set(ground);
    for (let l = 0; l < films.length; l++) {
      const { at, components, amounts } = this.compiled.films[films[l]];
      const from = at - this.#firstFilm;
      const layer = l * points;
      for (let i = 0; i < points; i++) {
        let a = 0;
        let b = 0;
        for (let k = 0; k < amounts.length; k++) {
          const X = amounts[k] * this.#factors[from + k];
          a += X * this.K[components[k] * points + i];
          b += X * this.S[components[k] * points + i];
        }
        this.#layerK[layer + i] = a;
        this.#layerS[layer + i] = b;
        filmPartsInto(a, b, 1, this.#parts);
        filmSlopesInto(this.#parts, 0, R[i], this.#slopes);
        R[i] = this.#slopes.R;
        this.#slopeK[layer + i] = this.#slopes.dK;
        this.#slopeS[layer + i] = this.#slopes.dS;
        this.#slopeGround[layer + i] = this.#slopes.dRg;
      }
    }
    for (let i = 0; i < points; i++) {
      const D = 1 / (1 - k2 * R[i]);
      this.#measured[i] = added + through * R[i] * D;
      this.#slopeMeasured[i] = through * D * D;
    }
  }

  /** Reflectance of a stack as an instrument sees it, from the unknowns last set. */
  reflectanceInto(films: Int32Array, ground: Float64Array, added: number, out: Float64Array): void {
    this.#stack(films, ground, added);
    out.set(this.#measured);
  }

  /** Whitened residual of a reading (what was seen less what is computed), into `#white`; gives its length. */
  #residual(index: number): number {
    const { films, ground, added, seen, precision, weights } = this.compiled.readings[index];
    this.#stack(films, ground, added);
    const m = seen.length;
    if (weights) labSlopesInto(this.#measured, weights, this.#Lab, this.#slopesOfLab);
    for (let i = 0; i < m; i++) {
      const computed = weights ? this.#Lab[i] : lightness(this.#measured[i]);
      this.#white[i] = precision[i] * (seen[i] - computed);
    }
    return m;
  }

  /**
   * Minus the logarithm of the posterior, without constants. Readings count by Student's t over the whole reading: one
   * film that contradicts loses its weight as a whole.
   *
   * @param gradient receives the gradient when given
   */
  cost(q: Float64Array, gradient?: Float64Array): number {
    this.set(q);
    const { readings, size } = this.compiled;
    if (gradient) {
      this.#gradK.fill(0);
      this.#gradS.fill(0);
      this.#gradFactors.fill(0);
    }
    const scale = Math.exp(-2 * this.logScale);
    let sum = 0;
    let ofLogScale = 0;
    for (let r = 0; r < readings.length; r++) {
      const m = this.#residual(r);
      let square = 0;
      for (let i = 0; i < m; i++) square += this.#white[i] * this.#white[i];
      this.squares[r] = square;
      const stretched = square * scale;
      const { counts } = readings[r];
      const d = Math.min(m, independent);
      const of = (stretched * d) / m;
      sum += counts * (0.5 * (freedom + d) * Math.log1p(of / freedom) + d * this.logScale);
      const weight = (((counts * d) / m) * (freedom + d)) / (freedom + of);
      ofLogScale += counts * d - weight * stretched;
      if (gradient) this.#push(r, m, -weight * scale);
    }
    for (let i = 0; i < size; i++) sum += 0.5 * q[i] * q[i];
    if (gradient) this.#collect(q, gradient, ofLogScale);
    return sum;
  }

  /** Takes the residual in `#white`, times a factor, back to curves and amounts. */
  #push(index: number, m: number, factor: number): void {
    const { points } = this.compiled;
    const { films, precision, weights } = this.compiled.readings[index];
    const back = this.#back;
    for (let j = 0; j < m; j++) this.#left[j] = factor * precision[j] * this.#white[j];
    for (let i = 0; i < points; i++) {
      let slope: number;
      if (weights) {
        slope =
          this.#left[0] * this.#slopesOfLab[i] +
          this.#left[1] * this.#slopesOfLab[points + i] +
          this.#left[2] * this.#slopesOfLab[2 * points + i];
      } else slope = this.#left[i] * lightnessSlope(this.#measured[i]);
      back[i] = slope * this.#slopeMeasured[i];
    }
    for (let l = films.length - 1; l >= 0; l--) {
      const { at, components, amounts } = this.compiled.films[films[l]];
      const from = at - this.#firstFilm;
      const layer = l * points;
      for (let k = 0; k < amounts.length; k++) {
        const X = amounts[k] * this.#factors[from + k];
        const curve = components[k] * points;
        let ofFactor = 0;
        for (let i = 0; i < points; i++) {
          const dK = back[i] * this.#slopeK[layer + i] * X * this.K[curve + i];
          const dS = back[i] * this.#slopeS[layer + i] * X * this.S[curve + i];
          this.#gradK[curve + i] += dK;
          this.#gradS[curve + i] += dS;
          ofFactor += dK + dS;
        }
        this.#gradFactors[from + k] += ofFactor;
      }
      for (let i = 0; i < points; i++) back[i] *= this.#slopeGround[layer + i];
    }
  }

  #collect(q: Float64Array, gradient: Float64Array, ofLogScale: number): void {
    const { points, components, films, size } = this.compiled;
    gradient.set(q);
    for (let c = 0; c < components.length; c++) {
      const { K, S, at } = components[c];
      for (let i = 0; i < points; i++) {
        const dK = this.#gradK[c * points + i];
        const dS = this.#gradS[c * points + i];
        for (let m = 0; m < K.modes; m++) gradient[at + m] += K.basis[i * K.modes + m] * dK;
        for (let m = 0; m < S.modes; m++) gradient[at + K.modes + m] += S.basis[i * S.modes + m] * dS;
      }
    }
    for (let f = 0; f < films.length; f++) {
      const { at, spread, amounts, logLaid } = films[f];
      const parts = amounts.length;
      for (let i = 0; i < parts; i++) {
        const slope = this.#gradFactors[at - this.#firstFilm + i];
        for (let j = 0; j <= i; j++) gradient[at + j] += spread[i * parts + j] * slope;
        gradient[size - 2] += powerSigma * logLaid * slope;
      }
    }
    gradient[size - 1] += scaleSigma * ofLogScale;
  }

  /** Unknowns on which a reading depends, into `out`. @returns how many */
  unknownsInto(index: number, out: Int32Array): number {
    const { components, films, readings } = this.compiled;
    let count = 0;
    const seen = new Set<number>();
    for (const film of readings[index].films) {
      for (const component of films[film].components) {
        if (seen.has(component)) continue;
        seen.add(component);
        const { K, S, at } = components[component];
        for (let m = 0; m < K.modes + S.modes; m++) out[count++] = at + m;
      }
    }
    for (const film of readings[index].films) {
      for (let k = 0; k < films[film].amounts.length; k++) out[count++] = films[film].at + k;
    }
    out[count++] = this.compiled.size - 2;
    return count;
  }

  /**
   * Whitened Jacobian of what is computed for a reading, at the unknowns last set, row by row over `size` columns that
   * must be 0 where the reading does not reach; and its whitened residual.
   *
   * @returns number of rows
   */
  jacobianInto(index: number, jacobian: Float64Array, residual: Float64Array): number {
    const { points, size, components } = this.compiled;
    const m = this.#residual(index);
    residual.set(this.#white.subarray(0, m));
    const { films, precision, weights } = this.compiled.readings[index];
    const back = this.#back;
    for (let i = 0; i < points; i++) {
      back[i] = this.#slopeMeasured[i] * (weights ? 1 : lightnessSlope(this.#measured[i]));
    }
    for (let l = films.length - 1; l >= 0; l--) {
      const film = this.compiled.films[films[l]];
      const from = film.at - this.#firstFilm;
      const parts = film.amounts.length;
      const ofPower = powerSigma * film.logLaid;
      const layer = l * points;
      for (let k = 0; k < parts; k++) {
        const X = film.amounts[k] * this.#factors[from + k];
        const c = film.components[k];
        const { K, S, at } = components[c];
        for (let i = 0; i < points; i++) {
          const dK = back[i] * this.#slopeK[layer + i] * X * this.K[c * points + i];
          const dS = back[i] * this.#slopeS[layer + i] * X * this.S[c * points + i];
          // A spectrum has a row for each point; a colour three rows, to which every point adds.
          for (let r = weights ? 0 : i; r < (weights ? m : i + 1); r++) {
            const w = precision[r] * (weights ? this.#slopesOfLab[r * points + i] : 1);
            const row = r * size;
            const wK = w * dK;
            for (let e = 0; e < K.modes; e++) jacobian[row + at + e] += wK * K.basis[i * K.modes + e];
            const wS = w * dS;
            for (let e = 0; e < S.modes; e++) {
              jacobian[row + at + K.modes + e] += wS * S.basis[i * S.modes + e];
            }
            const both = wK + wS;
            jacobian[row + size - 2] += both * ofPower;
            for (let e = 0; e <= k; e++) jacobian[row + film.at + e] += both * film.spread[k * parts + e];
          }
        }
      }
      for (let i = 0; i < points; i++) back[i] *= this.#slopeGround[layer + i];
    }
    return m;
  }
}

/** Lab of a reflectance, and its slopes (three rows of points). */
function labSlopesInto(
  R: Float64Array,
  weights: TristimulusWeights,
  Lab: Float64Array,
  out: Float64Array,
): void {
  const points = R.length;
  reflectanceToLab(R, weights, Lab);
  const { x, y, z, white } = weights;
  let X = 0;
  let Y = 0;
  let Z = 0;
  for (let i = 0; i < points; i++) {
    X += R[i] * x[i];
    Y += R[i] * y[i];
    Z += R[i] * z[i];
  }
  const fx = lightnessSlope(X / white[0]) / white[0];
  const fy = lightnessSlope(Y / white[1]) / white[1];
  const fz = lightnessSlope(Z / white[2]) / white[2];
  for (let i = 0; i < points; i++) {
    out[i] = 116 * fy * y[i];
    out[points + i] = 500 * (fx * x[i] - fy * y[i]);
    out[2 * points + i] = 200 * (fy * y[i] - fz * z[i]);
  }
}
