import { InputError } from "../../../src/graph/outcome.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { type CountedDrops, dropsPerMlOf } from "../../../src/ports/drops.ts";
import { matchOf } from "../../../src/ports/matchOf.ts";
import { type Dispensing, dispense } from "../../../src/recipes/dispense.ts";

type Measure = "grams" | "drops" | "both";

/** Doses up to this many drops are counted where the others are weighed (common practice). */
const mostCounted = 60;

/** A recipe as it can be measured out. */
export interface WeighedOut extends Dispensing {
  readonly coverage: Coverage;
  readonly unit: Measure;
}

/** The recipe of a coverage in the steps of what it is measured with. */
export function compute(
  { coverage }: { coverage: Coverage },
  { batch, measure, step, drops }: { batch: number; measure: Measure; step: string; drops: CountedDrops },
  { note }: { note(text: string): void },
): WeighedOut {
  const { recipe } = coverage;
  const match = matchOf(coverage);
  if (match.binderIndex < 0) {
    throw new InputError("The recipe has no binder", {
      field: "coverage",
      wayOut: "Add a binder to the recipe",
    });
  }
  const perMl = batch / recipe.volumes.reduce((sum, volume) => sum + volume, 0);
  const balance = { kind: "grams", step: Number(step) } as const;
  const result = dispense({
    match,
    volumes: recipe.volumes,
    batch,
    units: recipe.components.map((component, index) => {
      const dropsPerMl = dropsPerMlOf(component.id, drops);
      const few = recipe.volumes[index] * perMl * dropsPerMl <= mostCounted;
      const counted = index !== match.binderIndex && (measure === "drops" || (measure === "both" && few));
      return counted ? { kind: "drops", dropsPerMl } : balance;
    }),
  });
  for (const text of result.notes) note(text);
  return { ...result, coverage, unit: measure };
}
