import { parentPort } from "node:worker_threads";
import { inTurn } from "../../src/workers/inTurn.ts";
import { taskNamed } from "../../src/workers/taskNamed.ts";
import { tasks } from "../../src/workers/tasks.ts";

/** The bench's worker thread: runs the task it is sent and answers with the result. */
const never = new AbortController().signal;
const context = inTurn(
  tasks,
  never,
  () => {},
  async () => {},
);

parentPort?.on("message", async ({ id, name, args }: { id: number; name: string; args: never }) => {
  parentPort?.postMessage({ id, result: await taskNamed(tasks, name)(args, context) });
});
