import { parentPort } from "node:worker_threads";
import { longTask } from "../../src/tasks/longTask.ts";
import { runDirect } from "../../src/workers/direct.ts";

/** The bench's worker thread: runs the task it is sent and answers with the result. */
parentPort?.on("message", async ({ id, name, args }: { id: number; name: string; args: unknown }) => {
  parentPort?.postMessage({ id, result: await runDirect(longTask<unknown, unknown>(name), args) });
});
