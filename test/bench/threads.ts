import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { Worker } from "node:worker_threads";
import type { TaskContext } from "../../src/fit/taskTypes.ts";
import { taskNamed } from "../../src/workers/taskNamed.ts";
import { tasks } from "../../src/workers/tasks.ts";

/** Worker threads of Node that take the parts of a splitting task, as the page's workers do. */
export interface Threads {
  run<Result>(name: string, args: unknown): Promise<Result>;
  close(): Promise<void>;
}

/** Bundles the worker's program and starts so many threads of it. */
export async function startThreads(count: number): Promise<Threads> {
  const root = process.cwd();
  const tools = pathToFileURL(join(root, "src", "build", "bundle.mjs")).href;
  const { bundleForNode } = await import(/* @vite-ignore */ tools);
  const folder = join(root, "dist", "bench-worker");
  await bundleForNode("test/bench/searchWorker.ts", folder);
  const workers = Array.from({ length: count }, () => new Worker(join(folder, "main.js")));
  const waiting: { name: string; args: unknown; resolve: (result: unknown) => void }[] = [];
  const free = [...workers];
  const answers = new Map<number, (result: unknown) => void>();
  let next = 0;
  const fill = () => {
    while (free.length > 0 && waiting.length > 0) {
      const { name, args, resolve } = waiting.shift()!;
      const worker = free.shift()!;
      const id = next++;
      answers.set(id, (result) => {
        free.push(worker);
        resolve(result);
        fill();
      });
      worker.postMessage({ id, name, args });
    }
  };
  for (const worker of workers) {
    worker.on("message", ({ id, result }: { id: number; result: unknown }) => {
      answers.get(id)?.(result);
      answers.delete(id);
    });
  }
  const context: TaskContext = {
    signal: new AbortController().signal,
    onProgress: () => {},
    each: <Result>(name: string, list: readonly unknown[], onResult?: (r: Result, i: number) => void) =>
      Promise.all(
        list.map(async (args, index) => {
          const answer = await new Promise<unknown>((resolve) => {
            waiting.push({ name, args, resolve });
            fill();
          });
          const result = answer as Result;
          onResult?.(result, index);
          return result;
        }),
      ),
  };
  return {
    run: async (name, args) => (await taskNamed(tasks, name)(args as never, context)) as never,
    close: async () => {
      await Promise.all(workers.map((worker) => worker.terminate()));
    },
  };
}
