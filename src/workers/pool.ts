import type { RunTask } from "../tasks/longTask.ts";
import { runTaskOn } from "./runTaskOn.ts";
import { WorkerPool } from "./workerPool.ts";

/** More workers than this only cost memory. */
const mostWorkers = 8;

let shared: WorkerPool | undefined;

/** The page's own pool: a worker for each processor core. */
export function sharedPool(): WorkerPool {
  shared ??= new WorkerPool(
    Math.min(mostWorkers, navigator.hardwareConcurrency || 1),
    () => new Worker(new URL("./task.worker.ts", import.meta.url), { type: "module", name: "bole-task" }),
  );
  return shared;
}

/** Run a long task on the page's pool. @throws RangeError for an unknown task; the signal's reason when stopped */
export const runTask: RunTask = runTaskOn(sharedPool);
