import { aboveZero, atLeastZero, fraction, wholeNumber } from "../colour/checks.ts";

/** One pass of the gun. */
export interface Coat {
  kind: "light" | "heavy";
  /** µm, as sprayed */
  wetThickness: number;
}

/** Thin passes first, so that the film grips; fuller ones after, so that it builds. */
interface CoatPlan {
  lightCoats: number;
  heavyCoats: number;
  /** wet thickness of a light coat, µm */
  lightWet: number;
  /** wet thickness of a heavy coat, µm */
  heavyWet: number;
}

/** Total dry film above which flexible trim is apt to crack, µm (common practice). */
export const dryBuildLimit = 60;

/**
 * Dry thickness left by a wet thickness: wet · volume solids / (1 + thinner).
 *
 * @param wetThickness µm   @param volumeSolids of the unthinned mix, 0…1
 * @param thinner volume of thinner per volume of mix, ≥ 0 (0.1 = 10 %)
 * @returns µm
 * @throws RangeError for a value out of range
 * Source: definition of volume solids (ISO 3233); thinner evaporates altogether.
 */
export function dryFromWet(wetThickness: number, volumeSolids: number, thinner = 0): number {
  atLeastZero("wet thickness", wetThickness, "µm");
  fraction("volume solids", volumeSolids);
  atLeastZero("thinner per volume of mix", thinner);
  return (wetThickness * volumeSolids) / (1 + thinner);
}

/** The coats of a plan in the order they are sprayed: light ones first. @throws RangeError */
export function coatsOf(plan: CoatPlan): Coat[] {
  wholeNumber("light coats", plan.lightCoats);
  wholeNumber("heavy coats", plan.heavyCoats);
  atLeastZero("wet thickness of a light coat", plan.lightWet, "µm");
  atLeastZero("wet thickness of a heavy coat", plan.heavyWet, "µm");
  return [
    ...Array.from({ length: plan.lightCoats }, (): Coat => ({ kind: "light", wetThickness: plan.lightWet })),
    ...Array.from({ length: plan.heavyCoats }, (): Coat => ({ kind: "heavy", wetThickness: plan.heavyWet })),
  ];
}

/**
 * Dry thickness of all coats together, µm.
 *
 * @throws RangeError for a value out of range
 */
export function totalDryBuild(coats: readonly Coat[], volumeSolids: number, thinner = 0): number {
  let wet = 0;
  for (const coat of coats) wet += coat.wetThickness;
  return dryFromWet(wet, volumeSolids, thinner);
}

/**
 * A warning in words when the whole dry film (grounds and colour coats together) is thicker than flexible trim
 * bears; undefined otherwise.
 *
 * @param dryBuild µm   @param limit µm; 60 by default (common practice: thick films crack)
 */
export function buildWarning(dryBuild: number, limit = dryBuildLimit): string | undefined {
  atLeastZero("dry build", dryBuild, "µm");
  aboveZero("limit of dry build", limit, "µm");
  if (dryBuild <= limit) return undefined;
  return `the dry film would be ${dryBuild.toFixed(0)} µm thick; above ${limit} µm a film on flexible trim is apt to crack`;
}
