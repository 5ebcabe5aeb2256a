import type { Component } from "../../../src/coating/component.ts";
import { blaming, InputError } from "../../../src/graph/outcome.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { type CountedDrops, dropsPerMlOf } from "../../../src/ports/drops.ts";
import { matchOf } from "../../../src/ports/matchOf.ts";
import { partNumbered } from "../../../src/ports/partParameter.ts";
import { type DropEffects, dropEffects } from "../../../src/recipes/dropEffects.ts";

/** What one drop of every paste does to the pot. */
export interface OneDrop extends DropEffects {
  readonly coverage: Coverage;
  readonly components: readonly Component[];
  readonly part: string;
  readonly pot: number;
}

/**
 * @throws InputError for a part that is not there, a recipe without binder, and what the mix cannot be computed from
 */
export function compute(
  { coverage }: { coverage: Coverage },
  { pot, part, drops }: { pot: number; part: number; drops: CountedDrops },
): OneDrop {
  const { recipe, viewing } = coverage;
  const { substrate } = partNumbered(coverage, part);
  const others = recipe.available.filter(
    (component) => component.role === "paste" && !recipe.components.some((own) => own.id === component.id),
  );
  const components = [...recipe.components, ...others];
  const { binderIndex, finish, surface, sheen } = matchOf(coverage, components);
  if (binderIndex < 0) {
    throw new InputError("The recipe has no binder", {
      field: "coverage",
      wayOut: "Add a binder to the recipe",
    });
  }
  const total = recipe.volumes.reduce((sum, volume) => sum + volume, 0);
  const volumes = Float64Array.from(components, (_, j) => ((recipe.volumes[j] ?? 0) * pot) / total);
  const mix = { field: "coverage", wayOut: "Mend the recipe or the coats behind the coverage" };
  const result = blaming(mix, () =>
    dropEffects({
      components,
      binderIndex,
      volumes,
      dropsPerMl: components.map(({ id }) => dropsPerMlOf(id, drops)),
      finish,
      ground: part - 1,
      weights: viewing.weights,
      surface,
      sheen,
    }),
  );
  return { ...result, coverage, components, part: substrate.name, pot };
}
