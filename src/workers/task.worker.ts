import { expose } from "comlink";
import { inTurn } from "./inTurn.ts";
import { taskNamed } from "./taskNamed.ts";
import { tasks } from "./tasks.ts";

/** What the page calls in a worker. */
export interface TaskWorker {
  run(name: string, args: unknown, report?: (share: number, text?: string) => void): Promise<unknown>;
}

// Nothing aborts a task in here: the page drops the result, or ends the whole worker.
const never = new AbortController().signal;

const api: TaskWorker = {
  async run(name, args, report) {
    const context = inTurn(
      tasks,
      never,
      (share, text) => void report?.(share, text),
      async () => {},
    );
    return taskNamed(tasks, name)(args as never, context);
  },
};

expose(api);
