import { describe, expect, test } from "vitest";
import { fitTask, searchTask } from "../../src/recipes/longTasks.ts";
import type { prunePart } from "../../src/recipes/pruning.ts";
import { searchRecipes } from "../../src/recipes/search.ts";
import { searchPart } from "../../src/recipes/searchPart.ts";
import { longTask, type RunTask, type SplitContext, splitting } from "../../src/tasks/longTask.ts";
import { inTurn, runDirect } from "../../src/workers/direct.ts";
import { codeOf } from "../../src/workers/tasks.ts";
import { lanternSearch } from "../recipes/lanternSearch.ts";

describe("running tasks without workers", () => {
  test("an unknown task is named, with the known ones", async () => {
    await expect(runDirect(longTask<object, unknown>("nonsense"), {})).rejects.toThrow(
      /^task "nonsense" is unknown; known: .*\bfit-amounts\b.*\brecipe-search\b/,
    );
    expect(() => codeOf(longTask("toString"))).toThrow("is unknown");
  });

  test("a stop before the start rejects with its reason", async () => {
    const reason = new Error("not wanted");
    const request = {} as Parameters<typeof searchRecipes>[0];
    await expect(runDirect(searchTask, request, { signal: AbortSignal.abort(reason) })).rejects.toBe(reason);
  });

  test("what does not fit a task does not compile", () => {
    const run: RunTask = () => Promise.reject(new Error("never run"));
    // @ts-expect-error: the arguments of another task
    const wrongArgs = () => run(fitTask, { subset: [1] });
    // @ts-expect-error: the result of another task
    const wrongResult = (): Promise<string> => run(fitTask, {} as Parameters<typeof searchRecipes>[0]);
    // @ts-expect-error: a name alone
    const bareName = () => run("fit-amounts", {});
    // @ts-expect-error: a part that the task hands out is missing from its list
    const missingPart = () => splitting(searchRecipes, [searchPart]);
    // @ts-expect-error: arguments of another part
    const wrongPart = () => inTurn().each(searchPart, [{} as Parameters<typeof prunePart>[0]]);
    expect([wrongArgs, wrongResult, bareName, missingPart, wrongPart]).toHaveLength(5);
  });

  test("parts run in order and a stop between them is heard", async () => {
    const double = (n: number) => 2 * n;
    const all = splitting(
      (args: number[], { each, onProgress }: SplitContext<typeof double>) => {
        let done = 0;
        return each(double, args, () => onProgress(++done / args.length));
      },
      [double],
    );
    const shares: number[] = [];
    const stop = new AbortController();
    const context = inTurn(stop.signal, (share) => shares.push(share));
    await expect(all.split([1, 2, 3], context)).resolves.toEqual([2, 4, 6]);
    expect(shares).toEqual([1 / 3, 2 / 3, 1]);
    const running = all.split([1, 2, 3], context);
    stop.abort(new Error("enough"));
    await expect(running).rejects.toThrow("enough");
  });

  test("every task takes and gives data that can travel to a worker", async () => {
    const request = { ...lanternSearch, maxPastes: 1 };
    // identity: a structured clone loses nothing of it
    expect(structuredClone(request)).toEqual(request);
    const result = await runDirect(searchTask, structuredClone(request));
    expect(structuredClone(result)).toEqual(result);
  });
});
