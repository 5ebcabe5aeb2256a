import { afterAll, describe, expect, test } from "vitest";
import { searchTask } from "../../../src/recipes/longTasks.ts";
import type { SearchRequest } from "../../../src/recipes/search.ts";
import { longTask } from "../../../src/tasks/longTask.ts";
import { runDirect } from "../../../src/workers/direct.ts";
import { runTask, sharedPool } from "../../../src/workers/pool.ts";
import { runTaskOn } from "../../../src/workers/runTaskOn.ts";
import { WorkerPool } from "../../../src/workers/workerPool.ts";
import { binderIndex, coats, lights, poppySeen, rack, sheen, surface } from "../../recipes/lanternMatch.ts";

const request: SearchRequest = {
  components: rack,
  binderIndex,
  limits: { maxLoading: 0.25 },
  finish: coats,
  target: { kind: "spectrum", seen: poppySeen },
  lights,
  surface,
  sheen,
};

afterAll(() => sharedPool().close());

describe("worker pool", () => {
  test("gives the same result as without workers, with progress", async () => {
    const small = { ...request, maxPastes: 2 };
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

  test("a search over four pastes is quick once warm", async () => {
    const times: number[] = [];
    for (let run = 0; run < 2; run++) {
      const start = performance.now();
      const result = await runTask(searchTask, request);
      times.push(performance.now() - start);
      expect(result.subsets).toBe(1092); // identity: C(13,1) + C(13,2) + C(13,3) + C(13,4)
    }
    console.info(
      `search of 1092 choices on ${sharedPool().workers} workers: ${times.map((t) => t.toFixed(0)).join(", ")} ms`,
    );
    // Far above what it takes, so that a busy machine does not fail it; the bench measures.
    expect(Math.min(...times)).toBeLessThan(5000);
  });

  test("stops within 100 ms and the pool goes on", async () => {
    const stop = new AbortController();
    let running: Promise<unknown> | undefined;
    await new Promise<void>((resolve) => {
      running = runTask(searchTask, request, { signal: stop.signal, onProgress: () => resolve() });
    });
    const own = new AbortController();
    const behind = runTask(searchTask, request, { signal: own.signal });
    const start = performance.now();
    own.abort(new Error("enough"));
    stop.abort(new Error("enough"));
    await Promise.all([running, behind].map((task) => expect(task).rejects.toThrow("enough")));
    expect(performance.now() - start).toBeLessThan(100);
    const after = await runTask(searchTask, { ...request, maxPastes: 1 });
    expect(after.subsets).toBe(13);
  });

  test("an error comes back with its words", async () => {
    await expect(runTask(longTask<object, unknown>("no-such-task"), {})).rejects.toThrow(
      'task "no-such-task" is unknown',
    );
    await expect(runTask(searchTask, { ...request, excluded: [...rack.keys()] })).rejects.toThrow(
      "no paste is selected",
    );
  });

  test("a worker that does not come back from a stopped task is ended and replaced", async () => {
    const url = URL.createObjectURL(
      new Blob(["onmessage = () => { for (;;); };"], { type: "text/javascript" }),
    );
    let made = 0;
    const pool = new WorkerPool(1, () => {
      made++;
      return new Worker(url);
    });
    const stop = new AbortController();
    const running = pool.run(longTask<object, unknown>("fit-amounts"), {}, stop.signal);
    const next = pool.run(longTask<object, unknown>("fit-amounts"), {});
    const start = performance.now();
    stop.abort(new Error("enough"));
    await expect(running).rejects.toThrow("enough");
    expect(performance.now() - start).toBeLessThan(100);
    // Nobody waits for the worker: it has not been replaced yet.
    expect(made).toBe(1);
    expect(pool.workers).toBe(1);
    // The one behind it gets a worker of its own; closing settles it.
    await expect.poll(() => made).toBe(2);
    expect(pool.workers).toBe(1);
    pool.close();
    await expect(next).rejects.toThrow("closed");
    expect(pool.workers).toBe(0);
    URL.revokeObjectURL(url);
  });

  test("a worker that cannot start is an error, not silence", async () => {
    const broken = new WorkerPool(1, () => new Worker("/there-is-no-such-worker.js", { type: "module" }));
    await expect(runTaskOn(() => broken)(searchTask, request)).rejects.toThrow("worker");
    broken.close();
  });
});
