import type { TristimulusWeights } from "../colour/weights.ts";
import type { MinimaxProblem } from "../fit/trustRegion.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import {
  coatDerivativesInto,
  coatSeenInto,
  coverDerivatives,
  filmDerivatives,
  type SurfaceTerms,
} from "../recipes/filmDerivatives.ts";
import type { DepthModel } from "../recipes/forward.ts";
import { LightTerm } from "../recipes/lightTerm.ts";

/** A light with the target as seen in it; the objective counts scale·ΔE00. */
export interface ScaledLight {
  readonly weights: TristimulusWeights;
  readonly target: ArrayLike<number>;
  readonly scale: number;
}

export interface TwoFilmSetting {
  /** Optical depths of the basecoat and of the colour, linear in their own variables. */
  readonly base: DepthModel;
  readonly colour: DepthModel;
  readonly substrates: readonly Float64Array[];
  readonly surface: SurfaceConstants;
  readonly sheen: number;
  /** The main light first. */
  readonly lights: readonly ScaledLight[];
}

const nothing: SurfaceTerms = { added: 0, through: 1, inner: 0 };

/**
 * Basecoat and colour together: for each part and light one objective with exact gradient and Hessian by the
 * shares in the basecoat and the amounts in the colour, base variables first. Holds its work space:
 * evaluating allocates nothing.
 */
export class TwoFilmModel implements MinimaxProblem {
  readonly setting: TwoFilmSetting;
  readonly size: number;
  readonly grounds: number;
  smoothing = 0;
  readonly #surface: SurfaceTerms;
  readonly #lights: readonly LightTerm[];
  readonly #length: number;
  readonly #rows;
  readonly #baseFilm;
  readonly #cover;
  readonly #seen: Float64Array;
  readonly #pull: Float64Array;
  readonly #slopes: Float64Array;
  readonly #M: Float64Array;
  readonly #sensitivity: Float64Array;
  readonly #scratch: Float64Array;

  constructor(setting: TwoFilmSetting) {
    this.setting = setting;
    const { base, colour, substrates, surface, sheen, lights } = setting;
    const { externalReflection: k1, internalReflection: k2 } = surface;
    this.size = base.variables + colour.variables;
    this.grounds = substrates.length * lights.length;
    this.#surface = { added: sheen * k1, through: (1 - k1) * (1 - k2), inner: k2 };
    this.#lights = lights.map(({ weights, target }) => new LightTerm(weights, 1, target));
    const { length } = colour;
    this.#length = length;
    const row = () => new Float64Array(length);
    this.#rows = {
      ba: row(),
      bs: row(),
      ca: row(),
      cs: row(),
      qba: row(),
      qbs: row(),
      qca: row(),
      qcs: row(),
    };
    this.#baseFilm = filmDerivatives(length);
    this.#cover = coverDerivatives(length);
    this.#seen = row();
    this.#pull = row();
    this.#slopes = new Float64Array(this.size * length);
    this.#M = new Float64Array(3 * this.size);
    this.#sensitivity = new Float64Array(this.size);
    this.#scratch = new Float64Array(this.grounds);
  }

  #depthsAt(x: Float64Array): void {
    const { base, colour } = this.setting;
    const { ba, bs, ca, cs } = this.#rows;
    layDepths(base, x, 0, ba, bs);
    layDepths(colour, x, base.variables, ca, cs);
  }

  #look(part: number): void {
    const { ba, bs, ca, cs } = this.#rows;
    coatSeenInto(ba, bs, this.setting.substrates[part], nothing, this.#baseFilm.value);
    coatSeenInto(ca, cs, this.#baseFilm.value, this.#surface, this.#seen);
  }

  /** ΔE00 of each part in each light, lights innermost, written to `out`. */
  differencesInto(x: Float64Array, out: Float64Array): void {
    this.#depthsAt(x);
    let at = 0;
    for (let part = 0; part < this.setting.substrates.length; part++) {
      this.#look(part);
      for (const light of this.#lights) out[at++] = light.value(this.#seen, 0);
    }
  }

  /** The greatest objective, without derivatives or smoothing. */
  value(x: Float64Array): number {
    const { lights } = this.setting;
    const out = this.#scratch;
    this.differencesInto(x, out);
    let worst = 0;
    for (let o = 0; o < this.grounds; o++) worst = Math.max(worst, lights[o % lights.length].scale * out[o]);
    return worst;
  }

  derivatives(x: Float64Array, f: Float64Array, gradient: Float64Array, hessian: Float64Array): number {
    this.#depthsAt(x);
    this.#sensitivity.fill(0);
    const { substrates, lights } = this.setting;
    const { ba, bs, ca, cs } = this.#rows;
    let worst = 0;
    let o = 0;
    for (let part = 0; part < substrates.length; part++) {
      coatDerivativesInto(ba, bs, substrates[part], nothing, this.#baseFilm);
      coatDerivativesInto(ca, cs, this.#baseFilm.value, this.#surface, this.#cover);
      this.#layDown();
      for (let l = 0; l < lights.length; l++) {
        this.#pull.fill(0);
        f[o] = lights[l].scale * this.#lights[l].derivatives(this.#cover.value, this.smoothing, this.#pull);
        this.#bringToVariables(l, lights[l].scale, o, gradient, hessian);
        if (f[o] > worst) worst = f[o];
        o++;
      }
    }
    return worst;
  }

  /** See MinimaxProblem; from the last call of `derivatives`. */
  sensitivitiesInto(out: Float64Array): void {
    for (let i = 0; i < this.size; i++) out[i] = Math.max(1, Math.sqrt(this.#sensitivity[i]));
  }

  /** Slopes of the seen reflectance by each variable, row by row. */
  #layDown(): void {
    const { base, colour } = this.setting;
    const { a: ga, s: gs } = this.#baseFilm;
    const { a, s, g } = this.#cover;
    const length = this.#length;
    const slopes = this.#slopes;
    for (let i = 0; i < base.variables; i++) {
      const row = i * length;
      for (let k = 0; k < length; k++) {
        slopes[row + k] = g[k] * (ga[k] * base.alpha[row + k] + gs[k] * base.sigma[row + k]);
      }
    }
    for (let i = 0; i < colour.variables; i++) {
      const from = i * length;
      const to = (base.variables + i) * length;
      for (let k = 0; k < length; k++) {
        slopes[to + k] = a[k] * colour.alpha[from + k] + s[k] * colour.sigma[from + k];
      }
    }
  }

  #bringToVariables(
    l: number,
    weight: number,
    o: number,
    gradient: Float64Array,
    hessian: Float64Array,
  ): void {
    const { base, colour } = this.setting;
    const light = this.#lights[l];
    const { x: wx, y: wy, z: wz, byXYZ: by, rootSlopes } = light;
    const length = this.#length;
    const n = this.size;
    const nb = base.variables;
    const slopes = this.#slopes;
    const M = this.#M;
    for (let i = 0; i < n; i++) {
      const row = i * length;
      let X = 0;
      let Y = 0;
      let Z = 0;
      for (let k = 0; k < length; k++) {
        const v = slopes[row + k];
        X += wx[k] * v;
        Y += wy[k] * v;
        Z += wz[k] * v;
      }
      M[3 * i] = X;
      M[3 * i + 1] = Y;
      M[3 * i + 2] = Z;
      gradient[o * n + i] = weight * (by[0] * X + by[1] * Y + by[2] * Z);
      if (l === 0) {
        const fx = X * rootSlopes[0];
        const fy = Y * rootSlopes[1];
        const fz = Z * rootSlopes[2];
        const square = (116 * fy) ** 2 + (500 * (fx - fy)) ** 2 + (200 * (fy - fz)) ** 2;
        if (square > this.#sensitivity[i]) this.#sensitivity[i] = square;
      }
    }
    const H = o * n * n;
    for (let i = 0; i < n; i++) {
      if (i < nb) this.#bendOfBase(i);
      else this.#bendOfColour(i - nb);
      const { qba, qbs, qca, qcs } = this.#rows;
      const u = by[3] * M[3 * i] + by[4] * M[3 * i + 1] + by[5] * M[3 * i + 2];
      const v = by[4] * M[3 * i] + by[6] * M[3 * i + 1] + by[7] * M[3 * i + 2];
      const w = by[5] * M[3 * i] + by[7] * M[3 * i + 1] + by[8] * M[3 * i + 2];
      for (let j = i; j < n; j++) {
        let sum = u * M[3 * j] + v * M[3 * j + 1] + w * M[3 * j + 2];
        if (j < nb) {
          const row = j * length;
          for (let k = 0; k < length; k++) sum += qba[k] * base.alpha[row + k] + qbs[k] * base.sigma[row + k];
        } else {
          const row = (j - nb) * length;
          for (let k = 0; k < length; k++) {
            sum += qca[k] * colour.alpha[row + k] + qcs[k] * colour.sigma[row + k];
          }
        }
        hessian[H + i * n + j] = hessian[H + j * n + i] = weight * sum;
      }
    }
  }

  /** Second derivatives along base variable i, pulled: by the depths of both films. */
  #bendOfBase(i: number): void {
    const { base } = this.setting;
    const { a: ga, s: gs, aa: gaa, as: gas, ss: gss } = this.#baseFilm;
    const { g, gg, ag, sg } = this.#cover;
    const { qba, qbs, qca, qcs } = this.#rows;
    const pull = this.#pull;
    const row = i * this.#length;
    for (let k = 0; k < pull.length; k++) {
      const a = base.alpha[row + k];
      const s = base.sigma[row + k];
      const slope = ga[k] * a + gs[k] * s;
      const bent = pull[k] * gg[k] * slope;
      const straight = pull[k] * g[k];
      qba[k] = bent * ga[k] + straight * (gaa[k] * a + gas[k] * s);
      qbs[k] = bent * gs[k] + straight * (gas[k] * a + gss[k] * s);
      qca[k] = pull[k] * ag[k] * slope;
      qcs[k] = pull[k] * sg[k] * slope;
    }
  }

  /** The same along colour variable i; the base variables come before it and have been done. */
  #bendOfColour(i: number): void {
    const { colour } = this.setting;
    const { aa, as, ss } = this.#cover;
    const { qca, qcs } = this.#rows;
    const pull = this.#pull;
    const row = i * this.#length;
    for (let k = 0; k < pull.length; k++) {
      const a = colour.alpha[row + k];
      const s = colour.sigma[row + k];
      qca[k] = pull[k] * (aa[k] * a + as[k] * s);
      qcs[k] = pull[k] * (as[k] * a + ss[k] * s);
    }
  }
}

function layDepths(
  { length, baseAlpha, baseSigma, alpha, sigma, variables }: DepthModel,
  x: Float64Array,
  from: number,
  outA: Float64Array,
  outS: Float64Array,
): void {
  outA.set(baseAlpha);
  outS.set(baseSigma);
  for (let i = 0; i < variables; i++) {
    const share = x[from + i];
    if (share === 0) continue;
    const row = i * length;
    for (let k = 0; k < length; k++) {
      outA[k] += share * alpha[row + k];
      outS[k] += share * sigma[row + k];
    }
  }
}
