import { type BudgetLayer, lightBudget } from "./budget.ts";
import type { SurfaceConstants } from "./interface.ts";

/** What becomes of light of one wavelength in one layer, as shares of all light that has entered the film. */
export interface LayerPath {
  /** Ends here. */
  readonly swallowed: number;
  /** Comes back, having gone no deeper than this layer. */
  readonly turned: number;
}

/**
 * Light of one wavelength followed through a stack: for each layer, and last for the part, what ends there and what turns
 * round there. All shares sum to 1.
 *
 * Light that turns in the topmost layers is what would come back if everything below were black: every way that stays
 * above is still open then, and every other one is cut.
 *
 * @param layers top to bottom   @param Rg internal reflectance of the part
 * @param index place of the wavelength on the grid
 * Source: the light budget (Kubelka 1954) taken once over the part and once over black below each layer.
 */
export function lightPaths(
  layers: readonly BudgetLayer[],
  Rg: Float64Array,
  surface: SurfaceConstants,
  index: number,
): LayerPath[] {
  const at = (values: ArrayLike<number>) => Float64Array.of(values[index]);
  const here = layers.map(({ absorption, scattering, dryThickness }) => ({
    absorption: at(absorption),
    scattering: at(scattering),
    dryThickness,
  }));
  const whole = lightBudget(here, at(Rg), surface);
  const black = Float64Array.of(0);
  let above = 0;
  return [...here, undefined].map((layer, depth) => {
    const reached = layer
      ? lightBudget(here.slice(0, depth + 1), black, surface).reflected[0]
      : whole.reflected[0];
    const turned = reached - above;
    above = reached;
    return { swallowed: layer ? whole.layers[depth][0] : whole.substrate[0], turned };
  });
}
