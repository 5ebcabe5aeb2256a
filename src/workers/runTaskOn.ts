import type { RunTask } from "../tasks/longTask.ts";
import type { WorkerPool } from "./workerPool.ts";

/**
 * A runner of long tasks on a pool. A splitting task runs here and sends its parts to the workers; any other goes to a worker
 * whole.
 */
export function runTaskOn(pool: () => WorkerPool): RunTask {
  return async (task, args, { signal, onProgress } = {}) => {
    signal?.throwIfAborted();
    // Loaded when first needed, so that the page starts without it.
    const { codeOf, partOf } = await import("./tasks.ts");
    const code = codeOf(task);
    if (typeof code === "function") return pool().run(task, args, signal, onProgress);
    const inner = new AbortController();
    const stop = () => inner.abort(signal?.reason);
    signal?.addEventListener("abort", stop);
    if (signal?.aborted) stop();
    try {
      inner.signal.throwIfAborted();
      const result = await code.split(args, {
        signal: inner.signal,
        onProgress: (share, text) => {
          if (!inner.signal.aborted) onProgress?.(share, text);
        },
        each: (part, list, onResult) => {
          const own = partOf(task.name, code, part);
          return Promise.all(
            list.map(async (one, index) => {
              const result = await pool().run(own, one, inner.signal);
              onResult?.(result, index);
              return result;
            }),
          );
        },
      });
      inner.signal.throwIfAborted();
      return result;
    } finally {
      signal?.removeEventListener("abort", stop);
      // One failed part ends the others.
      if (!inner.signal.aborted) inner.abort(new Error("the task has ended"));
    }
  };
}
