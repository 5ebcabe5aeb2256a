import { parentPort, workerData } from "node:worker_threads";
import { serveThread } from "../../src/cli/apartInThreads.ts";
import { testKinds } from "../graph/endlessKind.ts";

await serveThread(async (kind) => testKinds.get(kind), workerData, parentPort!);
