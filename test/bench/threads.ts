import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { Worker } from "node:worker_threads";
import type { RunTask } from "../../src/tasks/longTask.ts";
import { codeOf, partOf } from "../../src/workers/tasks.ts";

/** Worker threads of Node that take the parts of a splitting task, as the page's workers do. */
export interface Threads {
  readonly run: RunTask;
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
  const send = <Result>(name: string, args: unknown) =>
    new Promise<Result>((resolve) => {
      waiting.push({ name, args, resolve: (result) => resolve(result as Result) });
      fill();
    });
  return {
    run: async (task, args) => {
      const code = codeOf(task);
      if (typeof code === "function") return send(task.name, args);
      return code.split(args, {
        signal: new AbortController().signal,
        onProgress: () => {},
        each: (part, list, onResult) =>
          Promise.all(
            list.map(async (one, index) => {
              const result = await send<ReturnType<typeof part>>(partOf(task.name, code, part).name, one);
              onResult?.(result, index);
              return result;
            }),
          ),
      });
    },
    close: async () => {
      await Promise.all(workers.map((worker) => worker.terminate()));
    },
  };
}
