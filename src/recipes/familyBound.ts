import { filmSeenInto, type SurfaceTerms, surfaceTerms } from "./filmDerivatives.ts";
import type { ForwardSetting } from "./forward.ts";
import { LightTerm, labRoot, labRootSlope } from "./lightTerm.ts";

interface BoundLight {
  readonly term: LightTerm;
  readonly target: ArrayLike<number>;
  readonly chroma: number;
  /** Greatest share of the rotation term, 0…1, for sample hues anywhere. */
  readonly rotation: number;
}

/** Cells cut before a proof is given up. */
const patience = 120;
/** Cells are halved until they are this narrow, relative to their place. */
const narrow = 0.04;

/**
 * Proves that no recipe made of some family of pastes, whatever their doses, comes within a given objective of the target.
 *
 * The mean absorption y and mean scattering z of a recipe's pastes are cut into cells. In a cell the optical depths at each
 * wavelength lie between bounds set by the pastes' spectra alone, and reflectance falls with absorption and rises with
 * scattering (compare dR/dX = S(1 − R)² − 2KR, Kubelka, Munk 1931), so that it lies between two films that can be computed.
 * From these follow bounds of L*, a*, b* (f of CIELAB is concave) and of ΔE00. A family whose every cell is out of reach is out.
 */
export class FamilyBound {
  readonly #setting: ForwardSetting;
  readonly #surface: SurfaceTerms;
  readonly #lights: readonly BoundLight[];
  readonly #meanAlpha: Float64Array;
  readonly #meanSigma: Float64Array;
  readonly #rows: Float64Array[];
  readonly #low: Float64Array;
  readonly #high: Float64Array;
  readonly #depthRows: Float64Array[];
  readonly #span = new Float64Array(2);
  /** Cells cut so far, for those who budget. */
  cells = 0;

  constructor(setting: ForwardSetting) {
    this.#setting = setting;
    const { depths, surface, sheen, lights, targets } = setting;
    this.#surface = surfaceTerms(surface, sheen);
    this.#lights = lights.map(({ weights, weight }, l) => ({
      term: new LightTerm(weights, weight, targets[l]),
      target: targets[l],
      chroma: Math.hypot(targets[l][1], targets[l][2]),
      rotation: rotationShare(targets[l]),
    }));
    const { length, variables } = depths;
    const { y } = this.#lights[0].term;
    const total = y.reduce((t, v) => t + Math.abs(v) + 1 / length, 0);
    const mean = (values: Float64Array) =>
      Float64Array.from({ length: variables }, (_, i) => {
        let sum = 0;
        for (let k = 0; k < length; k++)
          sum += ((Math.abs(y[k]) + 1 / length) / total) * values[i * length + k];
        return sum;
      });
    this.#meanAlpha = mean(depths.alpha);
    this.#meanSigma = mean(depths.sigma);
    this.#rows = Array.from({ length: 10 }, () => new Float64Array(length));
    this.#depthRows = Array.from({ length: 4 }, () => new Float64Array(length));
    this.#low = new Float64Array(length);
    this.#high = new Float64Array(length);
  }

  /**
   * Whether every recipe of the family is proved to miss by more than `limit` in the objective.
   * @param family variables of the depth model   @param loading greatest sum of their shares
   */
  outOfReach(family: ArrayLike<number>, loading: number, limit: number): boolean {
    const { length, alpha, sigma } = this.#setting.depths;
    const [aa1, aa2, ss1, ss2, as1, as2, sa1, sa2, aMost, sMost] = this.#rows;
    for (let k = 0; k < length; k++) {
      aa1[k] = ss1[k] = as1[k] = sa1[k] = Infinity;
      aa2[k] = ss2[k] = as2[k] = sa2[k] = aMost[k] = sMost[k] = -Infinity;
    }
    let yMost = 0;
    let zMost = 0;
    for (let q = 0; q < family.length; q++) {
      const i = family[q];
      const ma = this.#meanAlpha[i];
      const ms = this.#meanSigma[i];
      // A paste that takes away absorption or scattering from the binder has no such bounds.
      if (!(ma > 0) || !(ms > 0)) return false;
      yMost = Math.max(yMost, ma * loading);
      zMost = Math.max(zMost, ms * loading);
      for (let k = 0; k < length; k++) {
        const a = alpha[i * length + k];
        const s = sigma[i * length + k];
        aa1[k] = Math.min(aa1[k], a / ma);
        aa2[k] = Math.max(aa2[k], a / ma);
        as1[k] = Math.min(as1[k], a / ms);
        as2[k] = Math.max(as2[k], a / ms);
        ss1[k] = Math.min(ss1[k], s / ms);
        ss2[k] = Math.max(ss2[k], s / ms);
        sa1[k] = Math.min(sa1[k], s / ma);
        sa2[k] = Math.max(sa2[k], s / ma);
        aMost[k] = Math.max(aMost[k], a * loading);
        sMost[k] = Math.max(sMost[k], s * loading);
      }
    }
    let cells = 0;
    const cut = (y1: number, y2: number, z1: number, z2: number): boolean => {
      cells++;
      this.cells++;
      const wide = (low: number, high: number, most: number) => (high - low) / (low + high + 0.01 * most);
      const wy = wide(y1, y2, yMost);
      const wz = wide(z1, z2, zMost);
      if (Math.max(wy, wz) < narrow || cells > patience) return false;
      const alongY = wy >= wz;
      const middle = alongY ? between(y1, y2, yMost) : between(z1, z2, zMost);
      const first = alongY ? this.#miss(y1, middle, z1, z2, limit) : this.#miss(y1, y2, z1, middle, limit);
      const second = alongY ? this.#miss(middle, y2, z1, z2, limit) : this.#miss(y1, y2, middle, z2, limit);
      const low = () => first > limit || (alongY ? cut(y1, middle, z1, z2) : cut(y1, y2, z1, middle));
      const high = () => second > limit || (alongY ? cut(middle, y2, z1, z2) : cut(y1, y2, middle, z2));
      // The half that comes nearer first: if there is no proof, that is soon known.
      return first <= second ? low() && high() : high() && low();
    };
    return cut(0, yMost, 0, zMost);
  }

  /** The objective that no recipe in a cell falls below (not followed up beyond `enough`); infinite for an empty cell. */
  #miss(y1: number, y2: number, z1: number, z2: number, enough: number): number {
    const { depths, finish } = this.#setting;
    const { length, baseAlpha, baseSigma } = depths;
    const [aa1, aa2, ss1, ss2, as1, as2, sa1, sa2, aMost, sMost] = this.#rows;
    const [aLow, aHigh, sLow, sHigh] = this.#depthRows;
    for (let k = 0; k < length; k++) {
      const al = Math.max(least(aa1[k], y1, y2), least(as1[k], z1, z2));
      const ah = Math.min(most(aa2[k], y1, y2), most(as2[k], z1, z2), Math.max(0, aMost[k]));
      const sl = Math.max(least(ss1[k], z1, z2), least(sa1[k], y1, y2));
      const sh = Math.min(most(ss2[k], z1, z2), most(sa2[k], y1, y2), Math.max(0, sMost[k]));
      // No recipe of the family lies in such a cell.
      if (al > ah + 1e-12 || sl > sh + 1e-12) return Infinity;
      aLow[k] = Math.max(0, baseAlpha[k] + al);
      aHigh[k] = Math.max(0, baseAlpha[k] + ah);
      sLow[k] = Math.max(0, baseSigma[k] + sl);
      sHigh[k] = Math.max(0, baseSigma[k] + sh);
    }
    const grounds = finish.kind === "coats" ? finish.grounds : [undefined];
    const builds = finish.kind === "coats" ? finish.builds : undefined;
    let worst = 0;
    let laid = 1;
    for (let g = 0; g < grounds.length; g++) {
      if (builds) {
        const build = builds[g] / laid;
        for (const row of this.#depthRows) for (let k = 0; k < length; k++) row[k] *= build;
        laid = builds[g];
      }
      filmSeenInto(aHigh, sLow, grounds[g], this.#surface, this.#low);
      filmSeenInto(aLow, sHigh, grounds[g], this.#surface, this.#high);
      let sum = 0;
      for (const light of this.#lights) {
        sum += light.term.weight * this.#leastDifference(light);
        if (sum > enough) return sum;
      }
      if (sum > worst) worst = sum;
    }
    return worst;
  }

  /** A number that ΔE00 of no reflectance between the bounds falls below. */
  #leastDifference({ term, target, chroma, rotation }: BoundLight): number {
    const { x, y, z } = term;
    this.#sum(y);
    const y1 = this.#span[0];
    const y2 = this.#span[1];
    const L1 = 116 * labRoot(y1) - 16;
    const L2 = 116 * labRoot(y2) - 16;
    const dL = outside(target[0], L1, L2);
    const far = Math.max(Math.abs((L1 + target[0]) / 2 - 50), Math.abs((L2 + target[0]) / 2 - 50)) ** 2;
    const l = dL / (1 + (0.015 * far) / Math.sqrt(20 + far));
    this.#sum(x);
    const x1 = this.#span[0];
    const x2 = this.#span[1];
    this.#sum(z);
    const z1 = this.#span[0];
    const z2 = this.#span[1];
    const a2 = 500 * this.#mostOfDifference(x, x1, x2, y, y1, y2);
    const a1 = -500 * this.#mostOfDifference(y, y1, y2, x, x1, x2);
    const b2 = 200 * this.#mostOfDifference(y, y1, y2, z, z1, z2);
    const b1 = -200 * this.#mostOfDifference(z, z1, z2, y, y1, y2);
    const da = outside(target[1], a1, a2);
    const db = outside(target[2], b1, b2);
    // SC with the greatest mean chroma (a* stretched by at most 1.5) is above SH there, whose T is at most 1.93.
    const largest =
      1.5 * Math.hypot(Math.max(Math.abs(a1), Math.abs(a2)), Math.max(Math.abs(b1), Math.abs(b2)));
    const SC = 1 + 0.045 * ((1.5 * chroma + largest) / 2);
    return Math.sqrt(l * l + ((1 - rotation) * (da * da + db * db)) / (SC * SC));
  }

  /** Least and greatest Σ w·R between the bounds of R, left in #span. */
  #sum(w: Float64Array): void {
    let least = 0;
    let most = 0;
    for (let k = 0; k < w.length; k++) {
      const p = w[k] * this.#low[k];
      const q = w[k] * this.#high[k];
      least += Math.min(p, q);
      most += Math.max(p, q);
    }
    this.#span[0] = Math.max(0, least);
    this.#span[1] = Math.max(0, most);
  }

  /** A number that f(Σ p·R) − f(Σ q·R) never exceeds: tangent above the first, chord below the second. */
  #mostOfDifference(
    p: Float64Array,
    p1: number,
    p2: number,
    q: Float64Array,
    q1: number,
    q2: number,
  ): number {
    const at = (p1 + p2) / 2;
    const tangent = labRootSlope(at);
    const chord = q2 - q1 > 1e-12 ? (labRoot(q2) - labRoot(q1)) / (q2 - q1) : labRootSlope(q1);
    let sum = labRoot(at) - tangent * at - labRoot(q1) + chord * q1;
    for (let k = 0; k < p.length; k++) {
      const w = tangent * p[k] - chord * q[k];
      sum += w > 0 ? w * this.#high[k] : w * this.#low[k];
    }
    return Math.min(sum, labRoot(p2) - labRoot(q1));
  }
}

const least = (ratio: number, from: number, to: number) => ratio * (ratio >= 0 ? from : to);
const most = (ratio: number, from: number, to: number) => ratio * (ratio >= 0 ? to : from);
const outside = (value: number, from: number, to: number) => Math.max(0, from - value, value - to);
/** Where to cut: at the geometric middle, so that cells near zero stay in proportion. */
const between = (from: number, to: number, most: number) =>
  Math.sqrt((from + 0.002 * most) * (to + 0.002 * most)) - 0.002 * most;

/** Greatest |RT|/2: the mean hue lies within 90° of the target's, and Δθ falls off with distance from 275°. */
function rotationShare(target: ArrayLike<number>): number {
  const degree = Math.PI / 180;
  const h = Math.atan2(target[2], target[1]) / degree;
  let distance = Math.abs(((((h - 275) % 360) + 540) % 360) - 180);
  distance = Math.max(0, distance - 90);
  const doubled = 60 * Math.exp(-((distance / 25) ** 2));
  return Math.sin(doubled * degree);
}
