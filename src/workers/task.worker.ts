import { expose } from "comlink";
import { longTask, type Progress } from "../tasks/longTask.ts";
import { codeOf } from "./tasks.ts";

const api = {
  /** Run a task that does not split. Nothing stops it in here: the page drops the result, or ends the whole worker. */
  run(name: string, args: unknown, onProgress: Progress = () => {}): unknown {
    const code = codeOf(longTask<unknown, unknown>(name));
    if (typeof code !== "function")
      throw new TypeError(`task "${name}" hands out parts and runs beside the page`);
    return code(args, onProgress);
  },
};

/** What the page calls in a worker. */
export type TaskWorker = typeof api;

expose(api);
