import type { EyeConditions } from "../coating/eye.ts";
import { XYZToLab } from "../colour/Lab.ts";
import type { FilmFraction } from "./wetFilm.ts";

/**
 * Looks at basecoat and colour on a part in one pass: films, surface and tristimulus sums with a single
 * division at each wavelength. Holds its work space; nothing is checked or allocated.
 * Source: Kubelka 1954 (films), Saunderson 1942 (surface, specular excluded plus sheen·k1), ASTM E308 (sums).
 */
export class Look {
  readonly #x: Float64Array;
  readonly #y: Float64Array;
  readonly #z: Float64Array;
  readonly #white: Float64Array;
  readonly #added: number;
  readonly #through: number;
  readonly #inner: number;
  /** Tristimulus values and CIELAB of what was looked at last. */
  readonly XYZ = new Float64Array(3);
  readonly Lab = new Float64Array(3);

  constructor({ weights, surface, sheen }: EyeConditions) {
    const { externalReflection: k1, internalReflection: k2 } = surface;
    this.#x = weights.x;
    this.#y = weights.y;
    this.#z = weights.z;
    this.#white = weights.white;
    this.#added = sheen * k1;
    this.#through = (1 - k1) * (1 - k2);
    this.#inner = k2;
  }

  /** CIELAB of the colour over the basecoat over a part, left in `Lab`. */
  through(colour: FilmFraction, base: FilmFraction, part: Float64Array): Float64Array {
    const { r, q } = colour;
    const { r: br, q: bq } = base;
    const x = this.#x;
    const y = this.#y;
    const z = this.#z;
    const inner = this.#inner;
    let X = 0;
    let Y = 0;
    let Z = 0;
    for (let i = 0; i < x.length; i++) {
      const s = part[i];
      const above = br[i] + bq[i] * s;
      const below = 1 - br[i] * s;
      const R = r[i];
      const N = R * below + q[i] * above;
      const value = N / (below - R * above - inner * N);
      X += x[i] * value;
      Y += y[i] * value;
      Z += z[i] * value;
    }
    const white = this.#white;
    const { XYZ, Lab } = this;
    XYZ[0] = this.#through * X + this.#added * white[0];
    XYZ[1] = this.#through * Y + this.#added * white[1];
    XYZ[2] = this.#through * Z + this.#added * white[2];
    XYZToLab(XYZ, white, Lab);
    return Lab;
  }
}
