import { apartOn } from "../workers/apart.ts";
import { WorkerPool } from "../workers/workerPool.ts";

/** Two, so that one cell without an end does not hold up the others. */
const workers = 2;

let pool: WorkerPool | undefined;

/** Computes a cell in a worker of the page's own for kinds without a checked bound. */
export const computeApart = apartOn(() => {
  pool ??= new WorkerPool(
    workers,
    () => new Worker(new URL("./kind.worker.ts", import.meta.url), { type: "module", name: "bole-kind" }),
  );
  return pool;
});
