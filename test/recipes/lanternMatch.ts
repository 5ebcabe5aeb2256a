import { blendOf } from "../../src/coating/blend.ts";
import type { Component } from "../../src/coating/component.ts";
import { coatsOf } from "../../src/coating/thickness.ts";
import { workingGrid } from "../../src/colour/grid.ts";
import { resampleToGrid } from "../../src/colour/resample.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { usualSurface } from "../../src/optics/interface.ts";
import { recipeDepths } from "../../src/recipes/depths.ts";
import type { Finish } from "../../src/recipes/finish.ts";
import { ForwardModel, type WeightedLight } from "../../src/recipes/forward.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { toInternalInto } from "../optics/toInternalInto.ts";

/** The invented demo job as a match: its rack, lights, grounds and coats. */
export const surface = usualSurface;
export const sheen = 0.3;
export const rack: readonly Component[] = [...lanternRoom.pastes, lanternRoom.binder];
export const binderIndex = rack.length - 1;

export const lights: readonly WeightedLight[] = [
  { weights: weightsFor("1964-10", "D65"), weight: 1 },
  { weights: weightsFor("1964-10", "A"), weight: 0.25 },
  { weights: weightsFor("1964-10", "FL11"), weight: 0.25 },
];

export const poppySeen: Float64Array = (() => {
  const { wavelengths, reflectance } = lanternRoom.target;
  const { values } = resampleToGrid(wavelengths, reflectance, workingGrid);
  return values.map((R) => R + (sheen - 1) * surface.externalReflection);
})();

/** Internal reflectance of the three parts under the demo's basecoat. */
export const grounds: readonly Float64Array[] = (() => {
  const { demoRatio, demoPlan, basePaints, parts } = lanternRoom;
  const blend = blendOf(basePaints.slice(0, 2), [1 - demoRatio, demoRatio]);
  const thickness = demoPlan.basecoatCoats * demoPlan.basecoatWet * blend.mix.volumeSolids;
  return parts.map((part) => {
    const { values } = resampleToGrid(part.wavelengths, part.reflectance, workingGrid);
    const internal = new Float64Array(workingGrid.length);
    toInternalInto(values, surface.externalReflection, surface.internalReflection, "included", internal);
    const ground = new Float64Array(workingGrid.length);
    filmReflectanceInto(blend.absorption, blend.scattering, thickness, internal, ground);
    return ground;
  });
})();

export const coats: Finish = {
  kind: "coats",
  wetThickness: coatsOf(lanternRoom.demoPlan).reduce((sum, coat) => sum + coat.wetThickness, 0),
  grounds,
};

export const opaque: Finish = { kind: "opaque" };

/** Some pastes of the rack by index, and the binder last. */
export function pick(...indices: number[]): Component[] {
  return [...indices.map((i) => rack[i]), rack[binderIndex]];
}

/** What a recipe of the whole rack (wet shares of the pastes) looks like over a ground. */
export function seenOf(shares: ArrayLike<number>, finish: Finish, ground = 0): Float64Array {
  const depths = recipeDepths(rack, binderIndex, finish);
  const forward = new ForwardModel({ depths, finish, surface, sheen, lights: [], targets: [] });
  const out = new Float64Array(workingGrid.length);
  forward.seenInto(Float64Array.from(shares), ground, out);
  return out;
}
