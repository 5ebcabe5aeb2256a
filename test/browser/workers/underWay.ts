import { onTestFinished } from "vitest";
import { searchTask } from "../../../src/recipes/longTasks.ts";
import { runTask } from "../../../src/workers/pool.ts";
import { lanternSearch } from "../../recipes/lanternSearch.ts";

/** A search that has told its first progress. */
export async function searchUnderWay(signal: AbortSignal): Promise<{ running: Promise<unknown> }> {
  return new Promise((resolve) => {
    const running = runTask(searchTask, lanternSearch, { signal, onProgress: () => resolve({ running }) });
  });
}

/** Starts workers that never come back from what they are sent. */
export function startsStuckWorkers(): () => Worker {
  const url = URL.createObjectURL(
    new Blob(["onmessage = () => { for (;;); };"], { type: "text/javascript" }),
  );
  onTestFinished(() => URL.revokeObjectURL(url));
  return () => new Worker(url);
}
