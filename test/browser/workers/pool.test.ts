import { afterAll, describe, expect, test } from "vitest";
import { searchTask } from "../../../src/recipes/longTasks.ts";
import { longTask } from "../../../src/tasks/longTask.ts";
import { runDirect } from "../../../src/workers/direct.ts";
import { runTask, sharedPool } from "../../../src/workers/pool.ts";
import { runTaskOn } from "../../../src/workers/runTaskOn.ts";
import { WorkerPool } from "../../../src/workers/workerPool.ts";
import { rack } from "../../recipes/lanternMatch.ts";
import { lanternSearch } from "../../recipes/lanternSearch.ts";
import { searchUnderWay, startsStuckWorkers } from "./underWay.ts";

/** Whether something settles before the page gets to anything else: no message of a worker, no timer comes between. */
const settledNow = (what: Promise<unknown>): Promise<boolean> =>
  Promise.race([
    what.then(() => true),
    new Promise<boolean>((resolve) => {
      setTimeout(resolve, 0, false);
    }),
  ]);

afterAll(() => sharedPool().close());

describe("worker pool", () => {
  test("gives the same result as without workers, with progress", async () => {
    const small = { ...lanternSearch, maxPastes: 2 };
    const shares: number[] = [];
    const pooled = await runTask(searchTask, small, {
      onProgress: (share) => shares.push(share),
    });
    const direct = await runDirect(searchTask, small);
    // identity: the parts do not depend on where they run
    expect(pooled).toEqual(direct);
    expect(shares.length).toBeGreaterThan(3);
    expect(shares).toEqual([...shares].sort((p, q) => p - q));
    expect(shares.at(-1)).toBe(1);
  });

  test("stops at once and the pool goes on", async () => {
    const stop = new AbortController();
    const { running } = await searchUnderWay(stop.signal);
    const own = new AbortController();
    const behind = runTask(searchTask, lanternSearch, { signal: own.signal });
    own.abort(new Error("enough"));
    stop.abort(new Error("enough"));
    expect(await settledNow(expect(running).rejects.toThrow("enough"))).toBe(true);
    await expect(behind).rejects.toThrow("enough");
    const after = await runTask(searchTask, { ...lanternSearch, maxPastes: 1 });
    expect(after.subsets).toBe(13);
  });

  test("an error comes back with its words", async () => {
    await expect(runTask(longTask<object, unknown>("no-such-task"), {})).rejects.toThrow(
      'task "no-such-task" is unknown',
    );
    await expect(runTask(searchTask, { ...lanternSearch, excluded: [...rack.keys()] })).rejects.toThrow(
      "no paste is selected",
    );
  });

  test("a worker that does not come back from a stopped task is ended and replaced", async () => {
    const start = startsStuckWorkers();
    let made = 0;
    const pool = new WorkerPool(1, () => {
      made++;
      return start();
    });
    const stop = new AbortController();
    const running = pool.run(longTask<object, unknown>("fit-amounts"), {}, stop.signal);
    const next = pool.run(longTask<object, unknown>("fit-amounts"), {});
    stop.abort(new Error("enough"));
    expect(await settledNow(expect(running).rejects.toThrow("enough"))).toBe(true);
    // Nobody waits for the worker: it has not been replaced yet.
    expect(made).toBe(1);
    expect(pool.workers).toBe(1);
    // The one behind it gets a worker of its own; closing settles it.
    await expect.poll(() => made).toBe(2);
    expect(pool.workers).toBe(1);
    pool.close();
    await expect(next).rejects.toThrow("closed");
    expect(pool.workers).toBe(0);
  });

  test("a worker that cannot start is an error, not silence", async () => {
    const broken = new WorkerPool(1, () => new Worker("/there-is-no-such-worker.js", { type: "module" }));
    await expect(runTaskOn(() => broken)(searchTask, lanternSearch)).rejects.toThrow("worker");
    broken.close();
  });
});
