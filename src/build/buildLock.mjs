import { readFile, rm, writeFile } from "node:fs/promises";
import { setTimeout as delay } from "node:timers/promises";

const longestWaitMs = 180_000;

/**
 * Runs a task while no other process does so under the same lock file. The lock of a process that is gone is
 * removed.
 */
export async function withBuildLock(path, task) {
  const giveUp = Date.now() + longestWaitMs;
  while (!(await take(path))) {
    if (Date.now() > giveUp)
      throw new Error(`Another build has held "${path}" for too long. Delete it if none runs.`);
    await delay(100);
  }
  try {
    return await task();
  } finally {
    await rm(path, { force: true });
  }
}

async function take(path) {
  try {
    await writeFile(path, String(process.pid), { flag: "wx" });
    return true;
  } catch (error) {
    if (error.code !== "EEXIST") throw error;
  }
  const holder = Number(await readFile(path, "utf8").catch(() => ""));
  // An empty lock is one that is just being written; it is taken for dead only after the wait has run out.
  if (holder > 0 && !isRunning(holder)) await rm(path, { force: true });
  return false;
}

function isRunning(pid) {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code === "EPERM";
  }
}
