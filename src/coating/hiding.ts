import { atLeastZero, each, fraction, sameLength } from "../colour/checks.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { filmReflectanceInto } from "../optics/film.ts";
import { checkSurface, type SurfaceConstants, seenReflectanceInto } from "../optics/interface.ts";

/** Coefficients of a dry film, 1/µm, on one grid. */
interface FilmCoefficients {
  readonly absorption: ArrayLike<number>;
  readonly scattering: ArrayLike<number>;
}

/** Reflectances of the two grounds of a hiding test, 0…1. */
interface HidingGrounds {
  readonly black: number;
  readonly white: number;
}

/** Black 0 and white 0.80, for which the graphs and tables of ISO 6504-1 are made. */
const hidingGrounds: Readonly<HidingGrounds> = Object.freeze({ black: 0, white: 0.8 });

/** The contrast ratio at which a film counts as hiding (ISO 6504-1, ASTM D2805). */
const hidingContrastRatio = 0.98;

/** Dry films thicker than this are not searched, µm. */
const thickestFilm = 10000;

/**
 * Contrast ratio of a film of given thickness, by Y under the light and observer of the weights.
 *
 * @param film coefficients on the grid of the weights   @param dryThickness µm, ≥ 0
 * @param weights tristimulus weights; their y is used
 * @param grounds internal reflectances, black 0 and white 0.80 when left out
 * @param surface when given, Y is that of the film as measured without the specular part; else internal
 * @returns 0…1 (weights a hair below 0 at the far ends can leave it as much below 0); 0 when there is no light at all
 * @throws RangeError for a value out of range, TypeError when lengths differ
 * Source: ISO 6504-3, ASTM D2805 (definition); film by Kubelka 1948.
 */
export function contrastRatioOfFilm(
  film: FilmCoefficients,
  dryThickness: number,
  weights: Pick<TristimulusWeights, "y">,
  grounds: HidingGrounds = hidingGrounds,
  surface?: SurfaceConstants,
): number {
  atLeastZero("dry thickness", dryThickness, "µm");
  return contrastOf(film, weights, grounds, surface)(dryThickness);
}

/**
 * Dry thickness at which a film reaches a contrast ratio, by Y under the light and observer of the weights.
 *
 * @param ratio contrast ratio, 0 ≤ ratio < 1; 0.98 when left out
 * @returns µm; undefined when no film up to 10 mm reaches it (one that scatters nothing over a black ground)
 * @throws RangeError for a value out of range, TypeError when lengths differ
 * Source: ISO 6504-1, ASTM D2805 (hiding at a contrast ratio of 0.98); film by Kubelka 1948, solved by bisection.
 */
export function thicknessForContrastRatio(
  film: FilmCoefficients,
  weights: Pick<TristimulusWeights, "y">,
  ratio = hidingContrastRatio,
  grounds: HidingGrounds = hidingGrounds,
  surface?: SurfaceConstants,
): number | undefined {
  checkRatio(ratio);
  const contrastAt = contrastOf(film, weights, grounds, surface);
  if (contrastAt(0) >= ratio) return 0;
  // The ratio rises with thickness as long as the black ground is darker than the film, so one crossing is the only.
  let thin = 0;
  let thick = 1;
  for (; thick <= 2 * thickestFilm && contrastAt(thick) < ratio; thick *= 2) {
    if (thick > thickestFilm) return undefined;
    thin = thick;
  }
  // Sixty halvings use up all digits.
  for (let halving = 0; halving < 60 && thick - thin > 1e-12 * thick; halving++) {
    const middle = (thin + thick) / 2;
    if (middle === thin || middle === thick) break;
    if (contrastAt(middle) < ratio) thin = middle;
    else thick = middle;
  }
  return (thin + thick) / 2;
}

/**
 * What a hiding figure at contrast ratio 0.98 is worth for a colour, in words.
 *
 * @param Y luminous reflectance of the opaque film or of the film over white, Y = 100 scale
 * @throws RangeError for a negative or not finite Y
 * Source: scopes of ASTM D2805 (Y above 15), ISO 6504-3:2006 (Y above 25) and ISO 6504-1:1983 (white and light
 * colours, Y from 70; the exact sign of that limit from memory).
 */
export function hidingScopeNote(Y: number): string {
  atLeastZero("luminous reflectance Y", Y);
  const seen = `Y = ${Y.toFixed(1)}`;
  if (Y <= 15) {
    return (
      `${seen}: outside the scope of every standard for contrast ratio (ASTM D2805 asks for Y above 15, ISO 6504-3 above 25). ` +
      "For deep reds 0.98 is a mere convention; the colour difference between film over black and over white is the safer figure."
    );
  }
  if (Y <= 25) {
    return (
      `${seen}: within ASTM D2805 (Y above 15), outside ISO 6504-3 (above 25) and ISO 6504-1 (white and light colours). ` +
      "Look at the colour difference between film over black and over white as well."
    );
  }
  if (Y < 70) return `${seen}: within ASTM D2805 and ISO 6504-3; ISO 6504-1 is for white and light colours.`;
  return `${seen}: within the scope of ASTM D2805, ISO 6504-3 and ISO 6504-1.`;
}

function checkRatio(ratio: number): void {
  fraction("contrast ratio", ratio);
  if (ratio === 1)
    throw new RangeError("contrast ratio = 1: must be below 1, which only an infinite film reaches");
}

/** Contrast ratio as a function of dry thickness, with everything checked and allocated once. */
function contrastOf(
  { absorption, scattering }: FilmCoefficients,
  { y }: Pick<TristimulusWeights, "y">,
  grounds: HidingGrounds,
  surface: SurfaceConstants | undefined,
): (dryThickness: number) => number {
  sameLength("absorption", absorption, "weights", y);
  sameLength("scattering", scattering, "weights", y);
  each("absorption", absorption, atLeastZero, "1/µm");
  each("scattering", scattering, atLeastZero, "1/µm");
  fraction("black ground", grounds.black);
  fraction("white ground", grounds.white);
  if (grounds.white <= grounds.black) {
    throw new RangeError(
      `white ground = ${grounds.white}: must be lighter than the black one (${grounds.black})`,
    );
  }
  if (surface) checkSurface(surface.externalReflection, surface.internalReflection);
  const black = new Float64Array(y.length).fill(grounds.black);
  const white = new Float64Array(y.length).fill(grounds.white);
  const R = new Float64Array(y.length);
  const luminous = (dryThickness: number, ground: Float64Array): number => {
    filmReflectanceInto(absorption, scattering, dryThickness, ground, R);
    if (surface) seenReflectanceInto(R, surface.externalReflection, surface.internalReflection, 0, R);
    let Y = 0;
    for (let i = 0; i < R.length; i++) Y += y[i] * R[i];
    return Y;
  };
  return (dryThickness) => {
    const overWhite = luminous(dryThickness, white);
    return overWhite > 0 ? luminous(dryThickness, black) / overWhite : 0;
  };
}
