import { inTurn, nextTurn } from "./inTurn.ts";
import { taskNamed } from "./taskNamed.ts";
import type { RunOptions, RunTask } from "./taskRunner.ts";
import { tasks } from "./tasks.ts";

/**
 * Run a long task here and now, without workers (in Node, in tests). Between the parts of a splitting task other work gets
 * its turn, so that a stop is heard.
 * @throws RangeError for an unknown task; the signal's reason when stopped
 */
export const runDirect: RunTask = async <Result>(
  name: string,
  args: unknown,
  { signal = new AbortController().signal, onProgress }: RunOptions = {},
): Promise<Result> => {
  const task = taskNamed(tasks, name);
  signal.throwIfAborted();
  const context = inTurn(tasks, signal, (share, text) => onProgress?.(share, text), nextTurn);
  const result = (await task(args as never, context)) as Result;
  signal.throwIfAborted();
  return result;
};
