import { InputError } from "../../../src/graph/outcome.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { type CountedDrops, dropsPerMlOf } from "../../../src/ports/drops.ts";
import { matchOf } from "../../../src/ports/matchOf.ts";
import { type Dispensing, dispense } from "../../../src/recipes/dispense.ts";

/** A recipe as it can be measured out. */
export interface WeighedOut extends Dispensing {
  readonly coverage: Coverage;
  readonly unit: "grams" | "drops";
}

/** The recipe of a coverage in the steps of what it is measured with. */
export function compute(
  { coverage }: { coverage: Coverage },
  {
    batch,
    measure,
    step,
    drops,
  }: { batch: number; measure: "grams" | "drops"; step: string; drops: CountedDrops },
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
  const balance = { kind: "grams", step: Number(step) } as const;
  const result = dispense({
    match,
    volumes: recipe.volumes,
    batch,
    units: recipe.components.map((component, index) =>
      measure === "grams" || index === match.binderIndex
        ? balance
        : { kind: "drops", dropsPerMl: dropsPerMlOf(component.id, drops) },
    ),
  });
  for (const text of result.notes) note(text);
  return { ...result, coverage, unit: measure };
}
