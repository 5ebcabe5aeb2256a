import { sameLength } from "../../src/colour/checks.ts";
import type { SpecularMode } from "../../src/optics/interface.ts";

/** `toInternal` for a whole spectrum; lengths are checked, values are not. `out` may be `Rm`. @throws TypeError */
export function toInternalInto(
  Rm: ArrayLike<number>,
  k1: number,
  k2: number,
  specular: SpecularMode,
  out: Float64Array,
): void {
  sameLength("measured reflectance", Rm, "out", out);
  const offset = specular === "included" ? k1 : 0;
  const through = (1 - k1) * (1 - k2);
  for (let i = 0; i < out.length; i++) {
    const left = Rm[i] - offset;
    out[i] = left / (through + k2 * left);
  }
}
