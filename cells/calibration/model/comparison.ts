import { type ComponentComparison, compareComponents } from "../../../src/calibration/compare.ts";
import type { Component } from "../../../src/coating/component.ts";
import type { TristimulusWeights } from "../../../src/colour/weights.ts";
import type { SurfaceConstants } from "../../../src/optics/interface.ts";
import type { PigmentSet } from "../../../src/ports/pigmentSet.ts";

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
export const reductionDose = 0.05;

/** Compares a new component with one of the set, let down in the whitest paste or base paint of it. */
export function compareWith(
  id: string,
  fresh: Component,
  { components }: PigmentSet,
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
