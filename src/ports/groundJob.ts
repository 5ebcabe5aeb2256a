import { InputError } from "../graph/outcome.ts";
import { type FurtherWet, type GroundJob, type GroundPoint, plannedPoint } from "../ground/job.ts";
import type { Basecoat } from "./basecoat.ts";
import { type ColourCoats, moreWet } from "./coatPlan.ts";
import type { Coverage, CoveragePart } from "./coverage.ts";
import { eyeConditions } from "./seenTarget.ts";
import type { SeenTarget } from "./target.ts";

/** A coverage that has what every question about the ground needs. */
export type GroundCoverage = Coverage & { readonly basecoat: Basecoat; readonly targetSeen: SeenTarget };

/** @throws InputError when the coverage has no basecoat or no target */
export function withGround(coverage: Coverage): GroundCoverage {
  if (!coverage.basecoat) {
    throw new InputError("There is no basecoat to choose", {
      field: "coverage",
      wayOut: "Link a basecoat blend to the coverage cell, with at least one coat",
    });
  }
  if (!coverage.targetSeen) {
    throw new InputError("There is no target to compare with", {
      field: "coverage",
      wayOut: "Link a target to the coverage cell",
    });
  }
  return coverage as GroundCoverage;
}

/** The job that a coverage stands for, but for the choice of its ground. */
export function groundJobOf(coverage: GroundCoverage): GroundJob {
  const { basecoat, recipe, colourCoats, parts, viewing, targetSeen } = coverage;
  return {
    paints: basecoat.paints,
    basecoatWet: basecoat.coats * basecoat.wetThickness,
    recipe: { components: recipe.components, volumes: recipe.volumes },
    coatWets: colourCoats.wetThicknesses,
    ...furtherWetOf(colourCoats, parts),
    substrates: parts.map((part) => part.substrate.internal),
    eye: eyeConditions(viewing),
    target: targetSeen.Lab,
    formula: viewing.formula,
  };
}

/** What single parts get beyond the coats of all; nothing where none gets more. */
export function furtherWetOf(plan: ColourCoats, parts: readonly CoveragePart[]): { more?: FurtherWet } {
  const wets = parts.map(({ substrate }) => moreWet(plan, substrate));
  if (wets.every((wet) => wet === 0)) return {};
  let surface = 0;
  let volume = 0;
  parts.forEach(({ substrate: { area, count } }, p) => {
    surface += area * count;
    volume += area * count * wets[p];
  });
  return { more: { wets, mean: volume / surface } };
}

/** The choice that a coverage is set to. */
export function groundPointOf(coverage: GroundCoverage, job = groundJobOf(coverage)): GroundPoint {
  const { ratio, thirdShare } = coverage.basecoat;
  return plannedPoint(job, ratio, thirdShare);
}
