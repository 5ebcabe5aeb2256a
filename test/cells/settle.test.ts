import { describe, expect, test } from "vitest";
import type { SweptRatio } from "../../cells/ratio-sweep/define.ts";
import exampleText from "../../data/examples/the-lantern-room.json?raw";
import { type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import { computed } from "./computed.ts";

const example = parseNotebook(exampleText);
const idOf = (kind: string) => example.cells.find((cell) => cell.kind === kind)!.id;
const sweep = idOf("ratio-sweep");
const { signal } = new AbortController();

interface Amount {
  readonly component: string;
  readonly volume: number;
}

/** Fit the recipe at a ratio, as a person would, then settle both. */
async function settledFrom(ratio: number) {
  let document: NotebookDocument = example;
  const first = await computed(document);
  const { coverage } = first.lastValue(sweep) as SweptRatio;
  const blend = coverage.basecoat!.cell;
  const recipe = coverage.recipe.cell;
  document = setParameters(document, blend, { ratio });
  const moved = await computed(document);
  document = setParameters(document, recipe, await moved.act(recipe, "fit", signal));
  const fitted = await computed(document);
  const before = fitted.lastValue(sweep) as SweptRatio;
  await fitted.act(sweep, "settle", signal, undefined, (id, patch) => {
    document = setParameters(document, id, patch);
  });
  const of = (id: string) => document.cells.find((cell) => cell.id === id)!.parameters;
  return {
    before,
    ratio: of(blend).ratio as number,
    amounts: of(recipe).amounts as Amount[],
    after: (await computed(document)).lastValue(sweep) as SweptRatio,
  };
}

describe("settling blend and recipe in the notebook", () => {
  test("from 20, 50 and 80 %, fitted there first, it ends at the same place, and both belong together", async () => {
    const ends = [await settledFrom(0.2), await settledFrom(0.5), await settledFrom(0.8)];
    const total = (amounts: readonly Amount[]) => amounts.reduce((sum, { volume }) => sum + volume, 0);
    for (const { ratio, amounts, before, after } of ends) {
      expect(Math.abs(ratio - ends[1].ratio)).toBeLessThanOrEqual(0.01);
      amounts.forEach(({ component, volume }, j) => {
        expect(component).toBe(ends[1].amounts[j].component);
        const apart =
          (100 * volume) / total(amounts) - (100 * ends[1].amounts[j].volume) / total(ends[1].amounts);
        expect(Math.abs(apart)).toBeLessThan(0.5);
      });
      expect(Math.abs(after.current.difference - ends[1].after.current.difference)).toBeLessThan(0.02);
      // identity: what was fitted to this blend belongs to it, before and after
      expect(before.together!.apart).toBe(false);
      expect(after.together!.apart).toBe(false);
      expect(after.together!.objective.now).toBeLessThan(after.together!.objective.best + 0.06);
      expect(after.together!.objective.now).toBeLessThanOrEqual(before.together!.objective.now + 0.06);
    }
  });

  test("a recipe moved away from its blend no longer belongs to it, and that is said with numbers", async () => {
    const { coverage } = (await computed(example)).lastValue(sweep) as SweptRatio;
    const far = setParameters(example, coverage.basecoat!.cell, { ratio: 0.05 });
    const { together, current } = (await computed(far)).lastValue(sweep) as SweptRatio;
    expect(together!.apart).toBe(true);
    expect(together!.refittedHere).toBeLessThan(current.difference);
    expect(together!.objective.best).toBeLessThan(together!.objective.here + 1e-9); // identity: the best of all is no worse
  });
});
