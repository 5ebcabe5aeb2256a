import { blendOf } from "../../../src/coating/blend.ts";
import type { Component } from "../../../src/coating/component.ts";
import { Eye, type Seen } from "../../../src/coating/eye.ts";
import { buildUp, groundReflectance } from "../../../src/coating/paintedPart.ts";
import { deltaE2000, differenceOf } from "../../../src/colour/difference.ts";
import { wetsOn } from "../../../src/ports/coatPlan.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { eyeConditions } from "../../../src/ports/seenTarget.ts";

/** A part of the job as it is predicted now and with the pastes as the panels have them. */
export interface PartThen {
  readonly name: string;
  readonly now: Seen & { readonly difference: number | undefined };
  readonly taught: Seen & { readonly difference: number | undefined };
  /** ΔE00 between the two. */
  readonly moved: number;
}

/** What would change in the recipe at hand, part by part. @param learnt gives a component as the panels have it, if they do */
export function recipeThen(
  { recipe, basecoat, colourCoats, parts, viewing, targetSeen }: Coverage,
  learnt: (component: Component) => Component | undefined,
): PartThen[] {
  const anew = (components: readonly Component[]) => components.map((one) => learnt(one) ?? one);
  const colour = blendOf(anew(recipe.components), recipe.volumes);
  const under = basecoat && { ...basecoat, ...blendOf(anew(basecoat.paints), basecoat.shares) };
  const eye = new Eye(eyeConditions(viewing));
  const difference = differenceOf(viewing.formula);
  return parts.map(({ substrate, painted }): PartThen => {
    const film = under && under.dryThickness > 0 ? under : undefined;
    const dry = wetsOn(colourCoats, substrate).map((wet) => wet * colour.mix.volumeSolids);
    const steps = buildUp(groundReflectance(substrate.internal, film), colour, dry, eye);
    const end = steps[steps.length - 1];
    return {
      name: substrate.name,
      now: painted,
      taught: { ...end, difference: targetSeen && difference(targetSeen.Lab, end.Lab) },
      moved: deltaE2000(painted.Lab, end.Lab),
    };
  });
}
