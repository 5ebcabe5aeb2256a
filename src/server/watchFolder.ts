import { watch } from "node:fs";

const settleMs = 120;
const pollMs = 3000;

/**
 * Calls `onStir` soon after something happens in a folder. Where the system cannot watch folders (and as a net
 * below lost notices, as on network drives), it looks at intervals.
 *
 * @returns function that ends the watching
 */
export function watchFolder(folder: string, onStir: () => void): () => void {
  let timer: NodeJS.Timeout | undefined;
  const soon = () => {
    timer ??= setTimeout(() => {
      timer = undefined;
      onStir();
    }, settleMs).unref();
  };
  const poll = setInterval(onStir, pollMs);
  poll.unref();
  let stopWatching = () => {};
  try {
    const watcher = watch(folder, { persistent: false }, soon);
    watcher.on("error", () => watcher.close());
    stopWatching = () => watcher.close();
  } catch {
    // looking at intervals goes on
  }
  return () => {
    stopWatching();
    clearInterval(poll);
    clearTimeout(timer);
  };
}
