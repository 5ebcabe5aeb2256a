import { spawn } from "node:child_process";
import { mkdtemp, realpath, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const startLimitMs = 30_000;
const stopLimitMs = 10_000;

/** The server as a user starts it, in a process of its own. */
export interface RealServer {
  /** Such as http://127.0.0.1:40123 */
  address: string;
  /** Folder of its notebooks. */
  folder: string;
  /** Everything it has printed. */
  output(): string;
  /** @returns exit code, or the signal that ended it */
  stop(signal?: NodeJS.Signals): Promise<number | string>;
}

/**
 * Starts `npm start` on a free port. Without a folder it gets a fresh one, which is removed when it stops.
 *
 * @param project folder of the project
 */
export async function startRealServer({
  folder,
  project = process.cwd(),
  environment = {},
  args = [],
}: {
  folder?: string;
  project?: string;
  environment?: Record<string, string>;
  args?: string[];
} = {}): Promise<RealServer> {
  const ownFolder =
    folder === undefined ? await realpath(await mkdtemp(join(tmpdir(), "bole-e2e-"))) : undefined;
  const notebooks = folder ?? ownFolder!;
  const { VITEST: _, NODE_ENV: __, ...inherited } = process.env;
  const script = resolve(project, "src/server/start.mjs");
  const child = spawn(
    process.execPath,
    [script, "--folder", notebooks, "--port", "0", "--no-open", ...args],
    { env: { ...inherited, ...environment }, stdio: ["ignore", "pipe", "pipe"] },
  );
  let output = "";
  const ended = new Promise<number | string>((done) => {
    child.once("close", (code, signal) => done(code ?? signal ?? "unknown"));
  });
  const stop = async (signal: NodeJS.Signals = "SIGTERM") => {
    if (child.exitCode === null && child.signalCode === null) child.kill(signal);
    const force = setTimeout(() => child.kill("SIGKILL"), stopLimitMs);
    const outcome = await ended;
    clearTimeout(force);
    if (ownFolder) await rm(ownFolder, { recursive: true, force: true });
    return outcome;
  };
  const address = await new Promise<string>((found, failed) => {
    const give = (text: string) => {
      output += text;
      const line = /^Bole is at (http:\/\/127\.0\.0\.1:\d+)\/.*\n/m.exec(output);
      if (line) {
        clearTimeout(limit);
        found(line[1]);
      }
    };
    const fail = (why: string) => {
      clearTimeout(limit);
      failed(new Error(`${why} It printed:\n${output}`));
    };
    const limit = setTimeout(
      () => fail(`The server did not start within ${startLimitMs / 1000} s.`),
      startLimitMs,
    );
    child.stdout.on("data", (chunk) => give(String(chunk)));
    child.stderr.on("data", (chunk) => give(String(chunk)));
    child.once("error", (error) => fail(error.message));
    void ended.then((outcome) => fail(`The server ended (${outcome}).`));
  }).catch(async (error) => {
    await stop("SIGKILL");
    throw error;
  });
  return { address, folder: notebooks, output: () => output, stop };
}
