import { type ChildProcess, spawn } from "node:child_process";
import { accessSync, constants } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { within } from "./driver.ts";

/** Path of the first of some programs that is installed. */
export function installed(...names: string[]): string | undefined {
  const folders = (process.env.PATH ?? "").split(delimiter).filter(Boolean);
  return names.flatMap((name) => folders.map((folder) => join(folder, name))).find(isProgram);
}

function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

/** A program with what it starts itself, and a home folder of its own. */
export interface OwnProgram {
  readonly home: string;
  /** What it writes to its further output 3. */
  readonly told: () => string;
  readonly said: () => string;
  stop(): Promise<void>;
}

/**
 * Starts a program in the background and ends it, with all that it has started, when the input ends: also where the tests
 * themselves were ended from outside.
 */
const guarded = '"$@" & read -r _; kill -9 0';

/** @param prepare fills the home folder and says which arguments the program gets */
export async function startProgram(
  program: string,
  prepare: (home: string) => readonly string[] | Promise<readonly string[]>,
  environment: Record<string, string> = {},
): Promise<OwnProgram> {
  const home = await mkdtemp(join(tmpdir(), "bole-browser-"));
  const child = spawn("/bin/sh", ["-c", guarded, "sh", program, ...(await prepare(home))], {
    // A group of its own, so that what it starts can be ended with it.
    detached: true,
    stdio: ["pipe", "pipe", "pipe", "pipe"],
    env: { ...process.env, HOME: home, XDG_RUNTIME_DIR: home, ...environment },
  });
  let said = "";
  let told = "";
  for (const stream of [child.stdout, child.stderr])
    stream?.on("data", (chunk) => (said = (said + chunk).slice(-4000)));
  child.stdio[3]?.on("data", (chunk) => (told += chunk));
  child.on("error", (error) => (said += error.message));
  return {
    home,
    told: () => told,
    said: () => said,
    async stop() {
      await ended(child);
      await rm(home, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
    },
  };
}

async function ended(child: ChildProcess): Promise<void> {
  if (child.pid === undefined) return;
  const over = new Promise((done) => child.once("close", done));
  try {
    process.kill(-child.pid, "SIGKILL");
  } catch {
    return; // has ended with everything that it started
  }
  if (child.exitCode === null && child.signalCode === null) await within(over, "ending a program", 10_000);
}
