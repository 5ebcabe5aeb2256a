import { parentPort, workerData } from "node:worker_threads";
import { define } from "../../cells/defines.ts";
import { serveThread } from "./apartInThreads.ts";

await serveThread(define, workerData, parentPort!);
