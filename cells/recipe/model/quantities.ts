import type { Quantity } from "../../../src/graph/quantity.ts";
import { amount, colourQuantities, difference, share } from "../../../src/ports/quantities.ts";
import type { Recipe } from "../../../src/ports/recipe.ts";

/** The named numbers of a recipe; each component's share of the wet mix goes by its id. */
export function recipeQuantities({ components, volumes, mix, preview }: Recipe): Quantity[] {
  const total = volumes.reduce((sum, volume) => sum + volume, 0);
  const grams = components.reduce((sum, { density }, index) => sum + density * volumes[index], 0);
  return [
    share("loading", "pigment loading", mix.loading),
    share("volume-solids", "volume solids", mix.volumeSolids),
    amount("volume", "whole mix", total, "mL", 2),
    amount("mass", "whole mix by weight", grams, "g", 2),
    ...components.map(({ id, name }, index) =>
      share(`share-${id}`, `share of ${name}`, volumes[index] / total),
    ),
    ...(preview
      ? [
          ...colourQuantities("opaque-", "the mix where it hides everything", preview.opaque.Lab),
          difference("opaque-difference", "difference where it hides everything", preview.opaqueDifference),
          difference("worst-difference", "difference of the worst part", preview.worst?.difference),
        ]
      : []),
  ];
}
