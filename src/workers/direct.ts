import type { Part, Progress, RunTask, SplitContext } from "../tasks/longTask.ts";
import { codeOf } from "./tasks.ts";

/**
 * Run a long task here and now, without workers (in Node, in tests). Between the parts of a splitting task other work gets
 * its turn, so that a stop is heard.
 * @throws RangeError for an unknown task; the signal's reason when stopped
 */
export const runDirect: RunTask = async (task, args, { signal, onProgress } = {}) => {
  const code = codeOf(task);
  signal?.throwIfAborted();
  const result = await (typeof code === "function"
    ? code(args, onProgress ?? (() => {}))
    : code.split(args, inTurn(signal, onProgress)));
  signal?.throwIfAborted();
  return result;
};

/** Runs parts one after the other, here; before each, waiting events run. */
export function inTurn(
  signal = new AbortController().signal,
  onProgress: Progress = () => {},
): SplitContext<Part> {
  return {
    signal,
    onProgress,
    each: async (part, list, onResult) => {
      const results: ReturnType<typeof part>[] = [];
      for (const [index, args] of list.entries()) {
        await new Promise((resolve) => setTimeout(resolve, 0));
        signal.throwIfAborted();
        const result = part(args);
        results.push(result);
        onResult?.(result, index);
      }
      return results;
    },
  };
}
