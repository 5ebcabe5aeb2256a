import type { Component } from "../coating/component.ts";
import { mixFilmInto, mixOf } from "../coating/mix.ts";
import { relativeTintingStrength } from "../coating/strength.ts";
import { within } from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { ratioFromReflectivity, reflectivityInto } from "../optics/film.ts";
import { type SurfaceConstants, seenReflectanceInto } from "../optics/interface.ts";

/** A new component beside one already in use. */
interface ComponentComparison {
  /** relative tinting strength, 1 = equal; read at `index` of the spectrum */
  readonly strength: number;
  /** 1σ of it from the uncertainty of the new component's K and S; undefined when that is not known */
  readonly strengthSigma?: number;
  readonly index: number;
  /** opaque films as seen, specular excluded: Lab of the existing and the new one, and ΔE00 */
  readonly masstone: {
    readonly existing: Float64Array;
    readonly fresh: Float64Array;
    readonly deltaE: number;
  };
  readonly tint: { readonly existing: Float64Array; readonly fresh: Float64Array; readonly deltaE: number };
  /** ΔE00 of the tints with the dose of the new one divided by its strength: what is left is hue and cleanness */
  readonly tintAtEqualStrength: number;
}

/**
 * Compares two pastes as masstone and as a reduction with white, and gives the relative tinting strength.
 *
 * @param dose wet mass of paste per wet mass of the whole reduction, between 0 and 1
 * @throws RangeError for a dose out of range, or components that leave no dry film
 * Source: ISO 787-24 (same white, same dose by mass, strength at the greatest absorption of the paste); opaque films, Kubelka, Munk 1931.
 */
export function compareComponents(
  existing: Component,
  fresh: Component,
  white: Component,
  dose: number,
  weights: TristimulusWeights,
  surface: SurfaceConstants,
): ComponentComparison {
  within("dose", dose, 1e-4, 0.9999);
  const reference = reduction(existing, white, dose);
  const sample = reduction(fresh, white, dose);
  const index = placeOfStrength(reference.reflectivity, reduction(white, white, 1).reflectivity, weights);
  const strength = relativeTintingStrength(reference.reflectivity[index], sample.reflectivity[index]);
  const equal = reduction(fresh, white, Math.min(dose / strength, 0.9999));
  const lab = (reflectivity: Float64Array) => seenLab(reflectivity, weights, surface);
  const pair = (a: Float64Array, b: Float64Array) => {
    const [first, second] = [lab(a), lab(b)];
    return { existing: first, fresh: second, deltaE: deltaE2000(first, second) };
  };
  return {
    strength,
    strengthSigma: strengthSigma(fresh, sample, strength, index),
    index,
    masstone: pair(reduction(existing, white, 1).reflectivity, reduction(fresh, white, 1).reflectivity),
    tint: pair(reference.reflectivity, sample.reflectivity),
    tintAtEqualStrength: deltaE2000(lab(reference.reflectivity), lab(equal.reflectivity)),
  };
}

/** The new component beside one already in use. */
export interface Comparison {
  readonly with: string;
  /** name of the white that both are let down with */
  readonly white: string;
  /** Undefined when they cannot be compared; `trouble` tells why. */
  readonly figures: ComponentComparison | undefined;
  readonly trouble: string | undefined;
}

/** Paste per wet mass of the reduction (ISO 787-24 leaves it to the parties; 5 % is common practice). */
const reductionDose = 0.05;

/** Compares a new component with one of the set, let down in the whitest paste or base paint of it. */
export function compareWith(
  id: string,
  fresh: Component,
  components: readonly Component[],
  weights: TristimulusWeights,
  surface: SurfaceConstants,
): Comparison | undefined {
  const existing = components.find((component) => component.id === id);
  if (!existing) return undefined;
  const white = components
    .filter((component) => component.role !== "binder" && component.id !== fresh.id)
    .reduce<Component | undefined>(
      (best, other) => (best && whiteness(best) >= whiteness(other) ? best : other),
      undefined,
    );
  const none = (trouble: string): Comparison => ({
    with: existing.name,
    white: white?.name ?? "",
    figures: undefined,
    trouble,
  });
  if (!white) return none("there is no white in the set to let them down with");
  if (white.id === existing.id) return none("it is the white that colours are let down with");
  try {
    const figures = compareComponents(existing, fresh, white, reductionDose, weights, surface);
    if (!Number.isFinite(figures.strength) || !Number.isFinite(figures.tintAtEqualStrength)) {
      return none("one of the two has no colour to let down");
    }
    return { with: existing.name, white: white.name, figures, trouble: undefined };
  } catch (error) {
    if (error instanceof RangeError || error instanceof TypeError) return none(error.message);
    throw error;
  }
}

/** How white a component is: scattering over absorption in the middle of the spectrum. */
function whiteness({ absorption, scattering }: Component): number {
  const i = Math.floor(absorption.length / 2);
  return scattering[i] / (absorption[i] + 1e-9);
}

/**
 * Where the paste itself absorbs most in the visible: the greatest gain of K/S over the white alone between 400 and
 * 700 nm. (The white's own edge near 400 nm would otherwise be taken for the paste.)
 */
function placeOfStrength(tint: Float64Array, white: Float64Array, { grid }: TristimulusWeights): number {
  let index = 0;
  let most = Number.NEGATIVE_INFINITY;
  tint.forEach((reflectivity, i) => {
    const nm = grid.start + i * grid.step;
    const gain = ratioFromReflectivity(reflectivity) - ratioFromReflectivity(white[i]);
    if (nm < 400 || nm > 700 || gain <= most) return;
    most = gain;
    index = i;
  });
  return index;
}

interface Reduction {
  reflectivity: Float64Array;
  absorption: Float64Array;
  scattering: Float64Array;
  /** dry share of the paste */
  share: number;
}

function reduction(paste: Component, white: Component, dose: number): Reduction {
  const components = [paste, white];
  const mix = mixOf(components, [dose / paste.density, (1 - dose) / white.density]);
  const n = paste.absorption.length;
  const absorption = new Float64Array(n);
  const scattering = new Float64Array(n);
  mixFilmInto(components, mix.dryFractions, absorption, scattering);
  const reflectivity = new Float64Array(n);
  reflectivityInto(absorption, scattering, reflectivity);
  return { reflectivity, absorption, scattering, share: mix.dryFractions[0] };
}

/** ln(K/S) of the reduction by its K and S, K and S of the paste taken as independent. */
function strengthSigma(
  { absorptionSigma, scatteringSigma }: Component,
  { absorption, scattering, share }: Reduction,
  strength: number,
  index: number,
): number | undefined {
  if (absorptionSigma === undefined || scatteringSigma === undefined) return undefined;
  const byK = (share * absorptionSigma[index]) / absorption[index];
  const byS = (share * scatteringSigma[index]) / scattering[index];
  return strength * Math.hypot(byK, byS);
}

function seenLab(
  reflectivity: Float64Array,
  weights: TristimulusWeights,
  surface: SurfaceConstants,
): Float64Array {
  const seen = new Float64Array(reflectivity.length);
  seenReflectanceInto(reflectivity, surface.externalReflection, surface.internalReflection, 0, seen);
  return reflectanceToLab(seen, weights, new Float64Array(3));
}
