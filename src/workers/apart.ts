import { type Apart, type ApartJob, longestApart, tookTooLong } from "../graph/apart.ts";
import { errorOutcome, type SettledOutcome } from "../graph/outcome.ts";
import { longTask } from "../tasks/longTask.ts";
import type { WorkerPool } from "./workerPool.ts";

/** In a pool of workers that `serveKinds` serves. The time counts from when the code is loaded and begins. */
export function apartOn(pool: () => WorkerPool): Apart["compute"] {
  return async (job, signal) => {
    const stop = new AbortController();
    const abort = () => stop.abort(signal.reason);
    signal.addEventListener("abort", abort);
    if (signal.aborted) abort();
    let clock: ReturnType<typeof setTimeout> | undefined;
    const begun = () => {
      if (job.action === undefined) clock = setTimeout(() => stop.abort(tookTooLong), longestApart);
    };
    try {
      const task = longTask<ApartJob, SettledOutcome>(job.kind);
      return await pool().run(task, job, stop.signal, begun);
    } catch (error) {
      return error === tookTooLong ? tookTooLong : errorOutcome(error);
    } finally {
      clearTimeout(clock);
      signal.removeEventListener("abort", abort);
    }
  };
}
