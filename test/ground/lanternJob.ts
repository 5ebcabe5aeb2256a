import { seenFromMeasured } from "../../src/coating/eye.ts";
import { coatsOf } from "../../src/coating/thickness.ts";
import type { GroundJob } from "../../src/ground/job.ts";
import { internalFromMeasured, usualSurface } from "../../src/optics/interface.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";

// The invented demo job as the functions under test take it.

export const rack = [...lanternRoom.pastes, lanternRoom.binder];
export const [grey, cream, white] = lanternRoom.basePaints;
export const { externalReflection: k1, internalReflection: k2 } = usualSurface;

/** Internal reflectance of seats, bolsters (black), plinth. */
export const parts: Float64Array[] = lanternRoom.parts.map(
  (part) => internalFromMeasured(part.reflectance, k1, k2, "included").values,
);

export const eye = { weights: weightsFor("1964-10", "D65"), surface: usualSurface, sheen: 0 };

/** Components and volumes of a recipe of the demo, its own components only. */
export function recipeOf(volumes: readonly { readonly id: string; readonly volume: number }[]) {
  return {
    components: volumes.map(({ id }) => rack.find((component) => component.id === id)!),
    volumes: Float64Array.from(volumes, ({ volume }) => volume),
  };
}

export const job: GroundJob = {
  paints: [grey, cream],
  basecoatWet: lanternRoom.demoPlan.basecoatCoats * lanternRoom.demoPlan.basecoatWet,
  recipe: recipeOf(lanternRoom.demoRecipe.volumes),
  coatWets: Float64Array.from(coatsOf(lanternRoom.demoPlan), (coat) => coat.wetThickness),
  substrates: parts,
  eye,
  target: seenFromMeasured(lanternRoom.target.reflectance, "included", eye).Lab,
  formula: "ΔE00",
};

/** The demo job for the wine red. */
export const wineJob: GroundJob = {
  ...job,
  recipe: recipeOf(lanternRoom.wineRecipe.volumes),
  target: seenFromMeasured(lanternRoom.wineTarget.reflectance, "included", eye).Lab,
};
