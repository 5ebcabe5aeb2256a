import { afterAll, describe, expect, test } from "vitest";
import { searchTask } from "../../../src/recipes/longTasks.ts";
import { longTask } from "../../../src/tasks/longTask.ts";
import { runTask, sharedPool } from "../../../src/workers/pool.ts";
import { WorkerPool } from "../../../src/workers/workerPool.ts";
import { lanternSearch } from "../../recipes/lanternSearch.ts";
import { searchUnderWay, startsStuckWorkers } from "../workers/underWay.ts";

afterAll(() => sharedPool().close());

/** Time until what is stopped has been rejected, ms. */
async function rejectedAfter(stops: AbortController[], tasks: Promise<unknown>[]): Promise<number> {
  const start = performance.now();
  for (const stop of stops) stop.abort(new Error("enough"));
  await Promise.all(tasks.map((task) => expect(task).rejects.toThrow("enough")));
  return performance.now() - start;
}

// The limits are those the project has set itself; that nothing comes between is checked in ../workers/pool.test.ts.
describe("speed of the worker pool", () => {
  test("a search over four pastes takes less than 5 s once warm", async () => {
    const times: number[] = [];
    for (let run = 0; run < 2; run++) {
      const start = performance.now();
      const result = await runTask(searchTask, lanternSearch);
      times.push(performance.now() - start);
      expect(result.subsets).toBe(1092); // identity: C(13,1) + C(13,2) + C(13,3) + C(13,4)
    }
    console.info(
      `search of 1092 choices on ${sharedPool().workers} workers: ${times.map((t) => t.toFixed(0)).join(", ")} ms`,
    );
    expect(Math.min(...times)).toBeLessThan(5000);
  });

  test("a search and one that waits behind it stop within 100 ms", async () => {
    const stop = new AbortController();
    const { running } = await searchUnderWay(stop.signal);
    const own = new AbortController();
    const behind = runTask(searchTask, lanternSearch, { signal: own.signal });
    expect(await rejectedAfter([own, stop], [running, behind])).toBeLessThan(100);
  });

  test("a task whose worker does not come back stops within 100 ms", async () => {
    const pool = new WorkerPool(1, startsStuckWorkers());
    const stop = new AbortController();
    const running = pool.run(longTask<object, unknown>("fit-amounts"), {}, stop.signal);
    expect(await rejectedAfter([stop], [running])).toBeLessThan(100);
    pool.close();
  });
});
