import { type MessagePort, Worker } from "node:worker_threads";
import { needsApart } from "../../cells/registry.ts";
import {
  type Apart,
  type ApartJob,
  computeJob,
  longestApart,
  plainError,
  tookTooLong,
} from "../graph/apart.ts";
import type { CellKind } from "../graph/defineCell.ts";
import { errorOutcome, type SettledOutcome } from "../graph/outcome.ts";
import type { Surroundings } from "./surroundings.ts";

const begun = "begun";

/** Where cells without a checked bound are computed; undefined when all are computed here. */
export function apartIn({ kindThread }: Surroundings): Apart | undefined {
  return kindThread && { needs: needsApart, compute: apartInThreads(kindThread) };
}

/**
 * Computes each cell in a thread of its own. The time counts from when the code is loaded and begins.
 * @param program one that calls `serveThread`
 */
export function apartInThreads(program: URL): Apart["compute"] {
  return (job, signal) =>
    new Promise<SettledOutcome>((resolve) => {
      const thread = new Worker(program, { workerData: job });
      let clock: ReturnType<typeof setTimeout> | undefined;
      const end = (outcome: SettledOutcome) => {
        clearTimeout(clock);
        signal.removeEventListener("abort", abort);
        void thread.terminate();
        resolve(outcome);
      };
      const abort = () => end(errorOutcome(signal.reason));
      signal.addEventListener("abort", abort);
      if (signal.aborted) abort();
      thread.on("message", (message: SettledOutcome | typeof begun) => {
        if (message !== begun) end(message);
        else if (job.action === undefined) clock = setTimeout(() => end(tookTooLong), longestApart);
      });
      thread.on("error", (error) => end(errorOutcome(error)));
      thread.on("exit", (code) => end(errorOutcome(new Error(`the thread ended with code ${code}`))));
    });
}

/** Computes the job of a thread and answers; `define` loads a kind by its name. */
export async function serveThread(
  define: (kind: string) => Promise<CellKind | undefined>,
  job: ApartJob,
  port: MessagePort,
): Promise<void> {
  const kind = await define(job.kind);
  port.postMessage(begun);
  const outcome = await computeJob(kind, job);
  try {
    port.postMessage(outcome);
  } catch (error) {
    // A value that cannot travel.
    port.postMessage(plainError(error));
  }
}
