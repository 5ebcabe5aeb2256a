import { tradeWords } from "../colour/tradeWords.ts";
import { differenceText, percentText } from "../graph/numbers.ts";
import type { Verdict } from "../graph/verdict.ts";
import { plural } from "../words/plural.ts";
import type { Recipe } from "./recipe.ts";
import { swatchOf } from "./swatch.ts";

/** How close a recipe comes: over the planned coats where they are linked, else where it hides everything. */
export function recipeVerdict({ preview, mix, components }: Recipe): Verdict {
  if (!preview?.target) {
    const figure = plural(components.length, "component");
    return { text: `${figure}, volume solids ${percentText(mix.volumeSolids, 1)}.`, figure };
  }
  const { worst, target, opaque, opaqueDifference, conditions } = preview;
  const [where, seen, off] = worst
    ? [`As planned on ${worst.part}`, worst.seen, worst.difference]
    : ["In a film that hides everything", opaque, opaqueDifference];
  const figure = `${conditions.formula} ${differenceText(off)}`;
  return {
    text: `${where}: ${figure}, ${tradeWords(target.Lab, seen.Lab).short}.`,
    figure,
    swatch: swatchOf(seen.XYZ, conditions),
  };
}
