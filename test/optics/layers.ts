import { sameLength } from "../../src/colour/checks.ts";

/** A layer, or a stack of layers, as it meets diffuse light; all internal, 0…1, one value per wavelength. */
export interface Layer {
  /** reflectance seen from the front (top) */
  front: Float64Array;
  /** reflectance seen from behind */
  back: Float64Array;
  /** transmittance, the same from either side (Kubelka 1954) */
  transmittance: Float64Array;
}

/** An empty layer: nothing reflected, everything let through. */
export function createLayer(length: number): Layer {
  return {
    front: new Float64Array(length),
    back: new Float64Array(length),
    transmittance: new Float64Array(length).fill(1),
  };
}

/**
 * Lays one layer on another. `out` may be either of the two.
 *
 * @throws TypeError when lengths differ
 * Source: Kubelka 1954 (Part II, nonhomogeneous layers): R = R₁ + T₁²R₂/(1 − R₁*R₂), T = T₁T₂/(1 − R₁*R₂), where
 * R₁* is the upper layer's reflectance from *behind*: light caught between the two layers strikes it from below.
 */
export function composeInto(top: Layer, below: Layer, out: Layer): void {
  const length = out.front.length;
  sameLength("top", top.front, "out", out.front);
  sameLength("below", below.front, "out", out.front);
  for (let i = 0; i < length; i++) {
    const T1 = top.transmittance[i];
    const T2 = below.transmittance[i];
    const R1 = top.back[i];
    const R2 = below.front[i];
    const open = 1 - R1 * R2;
    // Where both sides reflect everything nothing gets in between them, and 0/0 means 0.
    const between = open > 0 ? 1 / open : 0;
    const front = top.front[i] + T1 * T1 * R2 * between;
    const back = below.back[i] + T2 * T2 * R1 * between;
    out.front[i] = front;
    out.back[i] = back;
    out.transmittance[i] = T1 * T2 * between;
  }
}

/**
 * Reflectance of a layer over an opaque ground. `out` may be the same array as `Rg`.
 *
 * @param Rg internal reflectance of the ground, 0…1
 * @throws TypeError when lengths differ
 * Source: Kubelka 1954, the composition law with T₂ = 0.
 */
export function overGroundInto(layer: Layer, Rg: ArrayLike<number>, out: Float64Array): void {
  const length = out.length;
  sameLength("layer", layer.front, "out", out);
  sameLength("substrate reflectance Rg", Rg, "out", out);
  for (let i = 0; i < length; i++) {
    const T = layer.transmittance[i];
    const open = 1 - layer.back[i] * Rg[i];
    out[i] = layer.front[i] + (open > 0 ? (T * T * Rg[i]) / open : 0);
  }
}
