import type { Component } from "../coating/component.ts";
import { mixOf } from "../coating/mix.ts";
import { aboveZero, atLeastZero, sameLength } from "../colour/checks.ts";
import type { Companion, Thickness } from "./problem.ts";

/** How the amounts of a drawdown were told: wet volumes, wet masses, or shares of the dry film by volume. */
type AmountBasis = "volume" | "mass" | "dry volume";

/** What is known of the paste before its K and S are. Needed for wet amounts and wet thicknesses. */
export interface PasteLabel {
  readonly name: string;
  /** g/mL; needed for amounts by mass */
  readonly density?: number;
  /** 0…1; needed for amounts by volume or mass, and for wet thicknesses */
  readonly volumeSolids?: number;
}

/** Composition of a drawdown as shares of its dry film, and the volume solids of the wet mix where they are known. */
interface Composition {
  readonly fractions: Float64Array;
  readonly volumeSolids?: number;
}

/** How a film's thickness was told. */
type ThicknessBasis = "dry" | "wet" | "gap";

/** Wet film left by a bar of a given gap ÷ the gap. Common practice: about 0.5 to 0.6. */
const filmPerGap = 0.55;

/** 1σ of ln X by the way thickness was told. Common practice: gauge on a flat card, comb, applicator gap. */
export const usualThicknessError: Readonly<Record<ThicknessBasis, number>> = Object.freeze({
  dry: 0.05,
  wet: 0.1,
  gap: 0.2,
});

/**
 * Shares of the dry film from amounts poured together.
 *
 * @param amounts of the paste first, then of each companion; one unit for all
 * @throws RangeError for a negative amount, nothing poured, or a density or volume solids that is needed and missing;
 * TypeError when the numbers of companions and amounts differ
 * Source: dry volume = wet volume × volume solids (definition, ISO 3233).
 */
export function compose(
  paste: PasteLabel,
  companions: readonly Component[],
  amounts: ArrayLike<number>,
  basis: AmountBasis,
): Composition {
  sameLength("components", { length: companions.length + 1 }, "amounts", amounts);
  if (basis === "dry volume") {
    let sum = 0;
    for (let j = 0; j < amounts.length; j++) {
      atLeastZero(`amount of ${j === 0 ? paste.name : companions[j - 1].name}`, amounts[j]);
      sum += amounts[j];
    }
    if (!(sum > 0 && sum < Number.POSITIVE_INFINITY)) {
      throw new RangeError("the amounts are all 0: a drawdown needs at least one above 0");
    }
    return { fractions: Float64Array.from(amounts, (amount) => amount / sum) };
  }
  const alone = companions.every((_, j) => amounts[j + 1] === 0);
  const solids = paste.volumeSolids;
  if (solids === undefined && !alone && amounts[0] > 0) {
    throw new RangeError(
      `volume solids of ${paste.name} are needed for amounts by ${basis}: tell them, or give shares of the dry film`,
    );
  }
  if (solids !== undefined) aboveZero(`volume solids of ${paste.name}`, solids);
  if (basis === "mass" && paste.density === undefined && !alone && amounts[0] > 0) {
    throw new RangeError(`density of ${paste.name} is needed for amounts by mass: tell it, or give volumes`);
  }
  const whole: Component[] = [
    {
      id: "paste",
      name: paste.name,
      role: "paste",
      density: paste.density ?? 1,
      volumeSolids: solids ?? 1,
      absorption: new Float64Array(0),
      scattering: new Float64Array(0),
      provenance: { kind: "measured" },
    },
    ...companions,
  ];
  const volumes = Float64Array.from(amounts, (amount, j) =>
    basis === "mass" ? amount / whole[j].density : amount,
  );
  const mix = mixOf(whole, volumes);
  const known = solids !== undefined || amounts[0] === 0;
  return { fractions: mix.dryFractions, volumeSolids: known ? mix.volumeSolids : undefined };
}

/**
 * Dry thickness from what was told.
 *
 * @param value µm   @param relativeSigma 1σ of ln X; the usual one for the way it was told when left out
 * @throws RangeError for a thickness not above 0, or a wet one of a mix whose volume solids are not known
 */
export function dryThicknessOf(
  value: number,
  basis: ThicknessBasis,
  composition: Composition,
  relativeSigma: number = usualThicknessError[basis],
): Thickness {
  aboveZero("thickness", value, "µm");
  aboveZero("relative error of the thickness", relativeSigma);
  if (basis === "dry") return { kind: "known", value, relativeSigma };
  const { volumeSolids } = composition;
  if (volumeSolids === undefined) {
    throw new RangeError("volume solids of the mix are needed to turn a wet thickness into a dry one");
  }
  const wet = basis === "wet" ? value : value * filmPerGap;
  return { kind: "known", value: wet * volumeSolids, relativeSigma };
}

/** A component as a companion of known K and S. */
export function companionOf({
  name,
  absorption,
  scattering,
  absorptionSigma,
  scatteringSigma,
}: Component): Companion {
  return { name, absorption, scattering, absorptionSigma, scatteringSigma };
}
