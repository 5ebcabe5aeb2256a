import { describe, expect, test } from "vitest";
import { splitting, type Task } from "../../src/fit/taskTypes.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { inTurn, nextTurn } from "../../src/workers/inTurn.ts";
import { taskNamed } from "../../src/workers/taskNamed.ts";
import { tasks } from "../../src/workers/tasks.ts";

describe("running tasks without workers", () => {
  test("an unknown task is named, with the known ones", async () => {
    await expect(runDirect("nonsense", {})).rejects.toThrow(
      `task "nonsense" is unknown; known: ${Object.keys(tasks).join(", ")}`,
    );
    expect(() => taskNamed(tasks, "toString")).toThrow("is unknown");
  });

  test("a stop before the start rejects with its reason", async () => {
    const reason = new Error("not wanted");
    await expect(runDirect("recipe-search", {}, { signal: AbortSignal.abort(reason) })).rejects.toBe(reason);
  });

  test("parts run in order and a stop between them is heard", async () => {
    const own: Record<string, Task> = {
      double: (n: number) => 2 * n,
      all: splitting(async (args: number[], { each, onProgress }) => {
        let done = 0;
        return each<number>("double", args, () => onProgress(++done / args.length));
      }),
    };
    expect(own.all.splits).toBe(true);
    const shares: number[] = [];
    const stop = new AbortController();
    const context = inTurn(own, stop.signal, (share) => shares.push(share), nextTurn);
    await expect(own.all([1, 2, 3] as never, context)).resolves.toEqual([2, 4, 6]);
    expect(shares).toEqual([1 / 3, 2 / 3, 1]);
    const running = own.all([1, 2, 3] as never, context);
    stop.abort(new Error("enough"));
    await expect(running).rejects.toThrow("enough");
  });

  test("every task takes and gives data that can travel to a worker", async () => {
    const { binderIndex, coats, lights, poppySeen, rack, sheen, surface } = await import(
      "../recipes/lanternMatch.ts"
    );
    const request = {
      components: rack,
      binderIndex,
      limits: { maxLoading: 0.25 },
      finish: coats,
      target: { kind: "spectrum", seen: poppySeen },
      lights,
      surface,
      sheen,
      maxPastes: 1,
    };
    // identity: a structured clone loses nothing of it
    expect(structuredClone(request)).toEqual(request);
    const result = await runDirect("recipe-search", structuredClone(request));
    expect(structuredClone(result)).toEqual(result);
  });
});
