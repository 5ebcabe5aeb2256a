import {
  createFilmParts,
  createFilmSlopes,
  filmPartsInto,
  filmSlopesInto,
} from "../calibration/filmSlopes.ts";
import type { CompiledShelf } from "./compiledShelf.ts";
import { labSlopesInto } from "./labSlopes.ts";
import { lightness, lightnessSlope, readingError } from "./readingError.ts";

const { freedom, independent, powerSigma, scaleSigma, bottleSigma, habitGain, habitOffset } = readingError;

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
  /** what each habit does to a reading: gain, offset; and the slopes by that */
  readonly #habits: Float64Array;
  readonly #gradHabits: Float64Array;
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
    const { points, components, readings, size } = compiled;
    const curves = components.length * points;
    this.K = new Float64Array(curves);
    this.S = new Float64Array(curves);
    this.#gradK = new Float64Array(curves);
    this.#gradS = new Float64Array(curves);
    this.#firstFilm = compiled.filmsAt;
    this.#habits = new Float64Array(compiled.filmsAt - compiled.habitsAt);
    this.#gradHabits = new Float64Array(this.#habits.length);
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
    const { points, components, films, size, bottlesAt, habitsAt } = this.compiled;
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
    for (let h = 0; h < this.#habits.length; h++) {
      this.#habits[h] = (h % 2 === 0 ? habitGain : habitOffset) * q[habitsAt + h];
    }
    const power = powerSigma * q[size - 2];
    for (let f = 0; f < films.length; f++) {
      const { at, spread, amounts, bottles, logLaid } = films[f];
      const parts = amounts.length;
      for (let i = 0; i < parts; i++) {
        let u = power * logLaid;
        if (bottles[i] >= 0) u += bottleSigma * q[bottlesAt + bottles[i]];
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
  #stack(films: Int32Array, ground: Float64Array, added: number, habit: number): void {
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
    if (habit < 0) return;
    const gain = 1 + this.#habits[2 * habit];
    const offset = this.#habits[2 * habit + 1];
    for (let i = 0; i < points; i++) {
      this.#measured[i] = gain * this.#measured[i] + offset;
      this.#slopeMeasured[i] *= gain;
    }
  }

  /** Slope of what is measured at a point by the gain of a habit, in its 1σ. */
  #slopeOfGain(habit: number, i: number): number {
    return (habitGain * (this.#measured[i] - this.#habits[2 * habit + 1])) / (1 + this.#habits[2 * habit]);
  }

  /** Reflectance of a stack as an instrument sees it, from the unknowns last set. */
  reflectanceInto(
    films: Int32Array,
    ground: Float64Array,
    added: number,
    out: Float64Array,
    habit = -1,
  ): void {
    this.#stack(films, ground, added, habit);
    out.set(this.#measured);
  }

  /** Whitened residual of a reading (what was seen less what is computed), into `#white`; gives its length. */
  #residual(index: number): number {
    const { films, ground, added, habit, seen, precision, weights } = this.compiled.readings[index];
    this.#stack(films, ground, added, habit);
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
      this.#gradHabits.fill(0);
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
    const { films, habit, precision, weights } = this.compiled.readings[index];
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
      if (habit >= 0) {
        this.#gradHabits[2 * habit] += slope * this.#slopeOfGain(habit, i);
        this.#gradHabits[2 * habit + 1] += slope * habitOffset;
      }
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
    const { points, components, films, size, bottlesAt, habitsAt } = this.compiled;
    gradient.set(q);
    for (let h = 0; h < this.#gradHabits.length; h++) gradient[habitsAt + h] += this.#gradHabits[h];
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
      const { at, spread, amounts, bottles, logLaid } = films[f];
      const parts = amounts.length;
      for (let i = 0; i < parts; i++) {
        const slope = this.#gradFactors[at - this.#firstFilm + i];
        if (bottles[i] >= 0) gradient[bottlesAt + bottles[i]] += bottleSigma * slope;
        for (let j = 0; j <= i; j++) gradient[at + j] += spread[i * parts + j] * slope;
        gradient[size - 2] += powerSigma * logLaid * slope;
      }
    }
    gradient[size - 1] += scaleSigma * ofLogScale;
  }

  /** Unknowns on which a reading depends, into `out`. @returns how many */
  unknownsInto(index: number, out: Int32Array): number {
    const { components, films, readings, bottlesAt, habitsAt, filmsAt } = this.compiled;
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
    // Films of one stack may be of one bottle.
    const opened = new Set<number>();
    for (const film of readings[index].films) {
      for (const bottle of films[film].bottles) if (bottle >= 0) opened.add(bottlesAt + bottle);
    }
    for (const unknown of opened) out[count++] = unknown;
    const { habit } = readings[index];
    for (
      let at = habitsAt + 2 * habit;
      habit >= 0 && at < Math.min(habitsAt + 2 * habit + 2, filmsAt);
      at++
    ) {
      out[count++] = at;
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
    const { points, size, components, bottlesAt, habitsAt } = this.compiled;
    const m = this.#residual(index);
    residual.set(this.#white.subarray(0, m));
    const { films, habit, precision, weights } = this.compiled.readings[index];
    const back = this.#back;
    for (let i = 0; i < points; i++) {
      const slope = weights ? 1 : lightnessSlope(this.#measured[i]);
      back[i] = this.#slopeMeasured[i] * slope;
      for (let r = weights ? 0 : i; habit >= 0 && r < (weights ? m : i + 1); r++) {
        const w = slope * precision[r] * (weights ? this.#slopesOfLab[r * points + i] : 1);
        jacobian[r * size + habitsAt + 2 * habit] += w * this.#slopeOfGain(habit, i);
        jacobian[r * size + habitsAt + 2 * habit + 1] += w * habitOffset;
      }
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
        const bottle = film.bottles[k];
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
            if (bottle >= 0) jacobian[row + bottlesAt + bottle] += both * bottleSigma;
            for (let e = 0; e <= k; e++) jacobian[row + film.at + e] += both * film.spread[k * parts + e];
          }
        }
      }
      for (let i = 0; i < points; i++) back[i] *= this.#slopeGround[layer + i];
    }
    return m;
  }
}
