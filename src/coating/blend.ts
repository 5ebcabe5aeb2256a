import { plural } from "../words/plural.ts";
import type { Component } from "./component.ts";
import { type Mix, mixFilmInto, mixOf } from "./mix.ts";

/** A wet blend of paints and the film it dries to. */
export interface Blend {
  readonly mix: Mix;
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
}

/**
 * Shares of two or three paints by wet volume.
 * @param ratio share of the second paint in the first two, 0…1
 * @param thirdShare share of the third paint in the whole, 0…1 (0 with two paints)
 */
export function blendShares(ratio: number, thirdShare: number, paints: number): Float64Array {
  const rest = paints > 2 ? 1 - thirdShare : 1;
  return Float64Array.from([rest * (1 - ratio), rest * ratio, thirdShare].slice(0, paints));
}

/** Mix components by wet volume and give the film's coefficients on the working grid. */
export function blendOf(components: readonly Component[], wetVolumes: ArrayLike<number>): Blend {
  const mix = mixOf(components, wetVolumes);
  const length = components[0].absorption.length;
  const absorption = new Float64Array(length);
  const scattering = new Float64Array(length);
  mixFilmInto(components, mix.dryFractions, absorption, scattering);
  return { mix, absorption, scattering };
}

/** Blend ratio in small whole parts, e.g. "2 parts : 3 parts", closest within two per cent or as percentages. */
export function inParts(ratio: number): string {
  for (let whole = 1; whole <= 12; whole++) {
    const second = Math.round(ratio * whole);
    if (Math.abs(second / whole - ratio) < 0.005) {
      const first = whole - second;
      return `${plural(first, "part")} to ${second}`;
    }
  }
  return `${Math.round((1 - ratio) * 100)} % to ${Math.round(ratio * 100)} %`;
}
