import { programIds, workerBegins } from "../handout/programIds.ts";
import type { RunTask } from "../tasks/longTask.ts";

/** A worker that has not begun by then is taken for none, ms. */
const longestStart = 4000;
/** More workers than this only cost memory. */
const mostWorkers = 4;

/** The program of this page as a worker: a classic one, made of its text, for pages that stand on a disk have no files. */
function startWorker(): Worker {
  const texts = [programIds.first, programIds.later].map(
    (id) => document.getElementById(id)?.textContent ?? "",
  );
  const program = new Blob([[...texts, workerBegins].join("\n")], { type: "text/javascript" });
  const address = URL.createObjectURL(program);
  const worker = new Worker(address, { name: "bole-task" });
  setTimeout(() => URL.revokeObjectURL(address), longestStart);
  return worker;
}

/** Whether this browser starts such a worker. */
function hasWorkers(): Promise<boolean> {
  return new Promise((resolve) => {
    try {
      const worker = startWorker();
      const end = (has: boolean) => {
        worker.terminate();
        resolve(has);
      };
      worker.addEventListener("message", () => end(true));
      worker.addEventListener("error", (event) => {
        event.preventDefault();
        end(false);
      });
      setTimeout(() => end(false), longestStart);
    } catch {
      resolve(false);
    }
  });
}

let runner: Promise<RunTask> | undefined;

async function choose(): Promise<RunTask> {
  if (!(await hasWorkers())) return (await import("../workers/direct.ts")).runDirect;
  const [{ WorkerPool }, { runTaskOn }] = await Promise.all([
    import("../workers/workerPool.ts"),
    import("../workers/runTaskOn.ts"),
  ]);
  const pool = new WorkerPool(Math.min(mostWorkers, navigator.hardwareConcurrency || 1), startWorker);
  return runTaskOn(() => pool);
}

/** Runs a long task beside the page; on the page itself where there are no workers. */
export const runHere: RunTask = async (task, args, options) => {
  runner ??= choose();
  return (await runner)(task, args, options);
};
