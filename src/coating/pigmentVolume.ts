import { aboveZero, atLeastZero } from "../colour/checks.ts";

/** A dry ingredient by weight. */
interface DryIngredient {
  /** g */
  mass: number;
  /** g/mL */
  density: number;
}

/** A dry film by volume. */
interface DryComposition {
  /** share of pigment in the dry film, by volume, 0…1 */
  pigmentVolumeConcentration: number;
  /** g/mL of the dry film */
  density: number;
}

/**
 * Pigment volume concentration and density of a dry film without pores.
 *
 * @param pigments pigments and extenders   @param binder binder solids
 * @throws RangeError for a value out of range, or no ingredient at all
 * Source: definition (ISO 4618).
 */
export function dryComposition(
  pigments: readonly DryIngredient[],
  binder: readonly DryIngredient[],
): DryComposition {
  const pigment = totalOf("pigment", pigments);
  const rest = totalOf("binder", binder);
  const volume = pigment.volume + rest.volume;
  if (volume === 0) throw new RangeError("masses are all 0 g: at least one must be above 0");
  return {
    pigmentVolumeConcentration: pigment.volume / volume,
    density: (pigment.mass + rest.mass) / volume,
  };
}

function totalOf(name: string, ingredients: readonly DryIngredient[]): { mass: number; volume: number } {
  let mass = 0;
  let volume = 0;
  for (const ingredient of ingredients) {
    atLeastZero(`mass of ${name}`, ingredient.mass, "g");
    aboveZero(`density of ${name}`, ingredient.density, "g/mL");
    mass += ingredient.mass;
    volume += ingredient.mass / ingredient.density;
  }
  return { mass, volume };
}
