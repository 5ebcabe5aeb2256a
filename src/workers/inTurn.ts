import type { Task, TaskContext } from "../fit/taskTypes.ts";
import { taskNamed } from "./taskNamed.ts";

/** A context that runs the parts of a task one after the other, here; between parts `turn` lets other work go on. */
export function inTurn(
  tasks: Readonly<Record<string, Task>>,
  signal: AbortSignal,
  onProgress: (share: number, text?: string) => void,
  turn: () => Promise<void>,
): TaskContext {
  const context: TaskContext = {
    signal,
    onProgress,
    each: async <Result>(
      name: string,
      args: readonly unknown[],
      onResult?: (result: Result, index: number) => void,
    ) => {
      const task = taskNamed(tasks, name);
      const results: Result[] = [];
      for (const [index, one] of args.entries()) {
        await turn();
        signal.throwIfAborted();
        const result = (await task(one as never, { ...context, onProgress: () => {} })) as Result;
        results.push(result);
        onResult?.(result, index);
      }
      return results;
    },
  };
  return context;
}

/** Lets waiting events run, so that a stop is heard. */
export function nextTurn(): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, 0));
}
