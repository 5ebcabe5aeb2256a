import { applyInto } from "../../../src/fit/denseAlgebra.ts";
import { SlabSolver } from "../../../src/optics/transfer/slab.ts";
import { type Streams, streamsOf } from "../../../src/optics/transfer/streams.ts";

/** What a slab returns and lets through, 0…1. */
interface SlabFluxes {
  /** For diffuse light. */
  readonly reflectance: number;
  readonly transmittance: number;
  /** For light along the normal. */
  readonly normalReflectance: number;
  readonly normalTransmittance: number;
}

/**
 * Exact reflectance and transmittance of a slab of matched index, for diffuse light and for light along the
 * normal.
 *
 * @param streams directions in each hemisphere
 * @throws RangeError for a value out of range
 * What comes back of light along the normal equals what leaves along the normal under diffuse light
 * (reciprocity, Helmholtz).
 */
export function slabFluxes(albedo: number, thickness: number, anisotropy = 0, streams = 32): SlabFluxes {
  const directions = streamsOf(streams, true);
  const { reflection, transmission } = new SlabSolver(directions).slab(albedo, thickness, anisotropy);
  const back = diffuseOf(reflection, directions);
  const through = diffuseOf(transmission, directions);
  return {
    reflectance: back.share,
    transmittance: through.share,
    normalReflectance: back.leaving[streams],
    normalTransmittance: through.leaving[streams],
  };
}

/** Intensity leaving in every direction under diffuse light of intensity 1, and its share of the flux. */
export function diffuseOf(
  operator: Float64Array,
  { length, flux }: Streams,
): { leaving: Float64Array; share: number } {
  const leaving = new Float64Array(length);
  applyInto(operator, new Float64Array(length).fill(1), length, leaving);
  let share = 0;
  for (let i = 0; i < length; i++) share += flux[i] * leaving[i];
  return { leaving, share };
}
