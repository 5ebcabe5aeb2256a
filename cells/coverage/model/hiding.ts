import type { Eye } from "../../../src/coating/eye.ts";
import {
  contrastRatioOfFilm,
  hidingScopeNote,
  thicknessForContrastRatio,
} from "../../../src/coating/hiding.ts";
import { spreadRate } from "../../../src/coating/spread.ts";
import { deltaE2000 } from "../../../src/colour/difference.ts";
import { filmReflectanceInto } from "../../../src/optics/film.ts";
import type { HidingFigures } from "../../../src/ports/coverage.ts";
import type { Recipe } from "../../../src/ports/recipe.ts";

/** Hiding figures of a colour by itself, over black (0) and white (0.80) as in ISO 6504-1. */
export function hidingOf(
  { absorption, scattering, mix }: Pick<Recipe, "absorption" | "scattering" | "mix">,
  dryThickness: number,
  eye: Eye,
): HidingFigures {
  const { weights } = eye.conditions;
  const length = absorption.length;
  const film = { absorption, scattering };
  const internal = new Float64Array(length);
  const over = (ground: number) => {
    filmReflectanceInto(
      absorption,
      scattering,
      dryThickness,
      new Float64Array(length).fill(ground),
      internal,
    );
    return eye.see(internal);
  };
  const [black, white] = [over(0), over(0.8)];
  const thicknessAt98 = thicknessForContrastRatio(film, weights, 0.98);
  return {
    contrastRatio: contrastRatioOfFilm(film, dryThickness, weights),
    thicknessAt98,
    spreadRateAt98: thicknessAt98 === undefined ? undefined : spreadRate(mix.volumeSolids, thicknessAt98),
    blackWhiteDifference: deltaE2000(white.Lab, black.Lab),
    scopeNote: hidingScopeNote(white.XYZ[1]),
  };
}
