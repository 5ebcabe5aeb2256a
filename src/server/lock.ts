import { createHash, randomUUID } from "node:crypto";
import { readFile, rm } from "node:fs/promises";
import { hostname } from "node:os";
import { dirname } from "node:path";
import { AlreadyThere, codeOf, createAtomically, writeAtomically } from "./atomicWrite.ts";
import { FolderError } from "./folder.ts";

/** A held lock: only one server works on a notebook folder. */
export interface FolderLock {
  /** Tells later starters where this server can be reached. */
  setAddress(address: string): Promise<void>;
  /** Whether the lock is still there: it goes with the folder. */
  isHeld(): Promise<boolean>;
  release(): Promise<void>;
}

interface Holder {
  key: string;
  pid: number;
  host: string;
  /** Start of the process where the system tells it, so that a number used again is not taken for the old process. */
  start: string | null;
  address?: string;
}

const tries = 5;

/**
 * Takes the lock of a notebook folder. A lock whose process is gone is taken over.
 *
 * @param path the lock file
 * @throws FolderError that names the process holding the lock
 */
export async function takeLock(path: string): Promise<FolderLock> {
  const mine: Holder = {
    key: randomUUID(),
    pid: process.pid,
    host: hostname(),
    start: await startOf(process.pid),
  };
  for (let i = 0; i < tries; i++) {
    // Looked at first: on a full disk, a lock that is held has to be told from one that cannot be made.
    const text = await readFile(path, "utf8").catch(() => undefined);
    if (text === undefined) {
      if (await createLock(path, mine)) return heldLock(path, mine);
      continue; // another was quicker
    }
    const holder = parseHolder(text);
    if (holder && (await isAlive(holder))) throw new FolderError(takenMessage(path, holder));
    await removeStale(path, text);
  }
  throw new FolderError(`The lock "${path}" keeps changing. Wait a moment and start again.`);
}

/** The lock appears with its text in it: an empty lock would look like one of a crashed server. */
async function createLock(path: string, mine: Holder): Promise<boolean> {
  try {
    await createAtomically(path, JSON.stringify(mine), dirname(path));
    return true;
  } catch (error) {
    if (error instanceof AlreadyThere) return false;
    throw new FolderError(
      `The lock "${path}" cannot be written (${codeOf(error) ?? error}). Is the folder writable?`,
      error,
    );
  }
}

/**
 * Removes a stale lock. Two starters may want to at once, and the slower one must not remove the fresh lock of the
 * quicker one: so the right to remove this very lock is a lock as well, and under it the text is read again.
 *
 * @throws FolderError when another starter is taking over
 */
async function removeStale(path: string, text: string): Promise<void> {
  const right = await takeLock(`${path}.${createHash("sha256").update(text).digest("hex").slice(0, 16)}`);
  try {
    if ((await readFile(path, "utf8").catch(() => undefined)) === text) await rm(path, { force: true });
  } finally {
    await right.release();
  }
}

function heldLock(path: string, mine: Holder): FolderLock {
  const stillMine = async () => {
    const text = await readFile(path, "utf8").catch(() => "");
    return parseHolder(text)?.key === mine.key;
  };
  return {
    isHeld: stillMine,
    async setAddress(address) {
      if (await stillMine()) await writeAtomically(path, JSON.stringify({ ...mine, address }), dirname(path));
    },
    async release() {
      if (await stillMine()) await rm(path, { force: true });
    },
  };
}

function parseHolder(text: string): Holder | undefined {
  try {
    const value = JSON.parse(text) as Holder;
    const whole =
      typeof value.key === "string" && Number.isInteger(value.pid) && typeof value.host === "string";
    return whole ? value : undefined;
  } catch {
    return undefined; // cut short by a crash: the writer is gone
  }
}

async function isAlive(holder: Holder): Promise<boolean> {
  if (holder.host !== hostname()) return true; // on a shared drive: cannot be asked from here
  try {
    process.kill(holder.pid, 0);
  } catch (error) {
    return codeOf(error) === "EPERM";
  }
  const start = await startOf(holder.pid);
  return holder.start === null || start === null || holder.start === start;
}

/** Boot and start time of a process on Linux; null elsewhere. */
async function startOf(pid: number): Promise<string | null> {
  try {
    const boot = await readFile("/proc/sys/kernel/random/boot_id", "utf8");
    const status = await readFile(`/proc/${pid}/stat`, "utf8");
    // The second field is a name in brackets that may hold spaces; the start time is the 20th field after it.
    return `${boot.trim()} ${status.slice(status.lastIndexOf(")") + 2).split(" ")[19]}`;
  } catch {
    return null;
  }
}

function takenMessage(path: string, holder: Holder): string {
  const where = holder.address ? ` at ${holder.address}` : "";
  const folder = dirname(dirname(path));
  if (holder.host !== hostname()) {
    return `The folder "${folder}" is in use by a server on the computer "${holder.host}"${where}. Stop it there, or choose another folder with --folder. If no server runs there, delete "${path}".`;
  }
  return `The folder "${folder}" is already in use by a running server${where} (process ${holder.pid}). Use that one, stop it, or choose another folder with --folder.`;
}
