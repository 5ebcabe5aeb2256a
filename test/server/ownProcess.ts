import { execFile, spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { mkdir, mkdtemp, realpath, rm, writeFile } from "node:fs/promises";
import { Agent, request } from "node:http";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { afterAll } from "vitest";

/** The server bundled as it ships, with a page of one line, so that it starts fast. Removed after the tests of the file. */
export async function bundledServer(): Promise<string> {
  const folder = await realpath(await mkdtemp(join(tmpdir(), "bole-test-server-")));
  afterAll(() => rm(folder, { recursive: true, force: true }));
  const bundler = JSON.stringify(new URL(`file://${resolve("src/build/bundle.mjs")}`).href);
  const program = `import { bundleForNode } from ${bundler}; await bundleForNode("src/server/main.ts", process.argv[1]);`;
  const { VITEST: _, ...environment } = process.env;
  await promisify(execFile)(
    process.execPath,
    ["--input-type=module", "--eval", program, join(folder, "server")],
    {
      env: { ...environment, NODE_ENV: "production" },
    },
  );
  await mkdir(join(folder, "page"));
  await writeFile(join(folder, "page", "index.html"), "<head></head>");
  const start = join(folder, "start.mjs");
  await writeFile(
    start,
    `import { main } from "./server/main.js";
process.exitCode = await main({ argv: process.argv.slice(2), pageFolder: ${JSON.stringify(join(folder, "page"))}, defaultFolder: "" });
`,
  );
  return start;
}

export interface Answer {
  readonly status: number;
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the tests
  readonly json: any;
}

/** A server in a process of its own. */
export interface OwnServer {
  readonly pid: number;
  readonly address: string;
  /** Send a request as the page does; rejects when the server ends before its answer. */
  send(method: string, path: string, body?: string, headers?: Record<string, string>): Promise<Answer>;
  /** Resident memory in bytes, where the system tells. */
  memory(): number | undefined;
  kill(signal?: NodeJS.Signals): Promise<void>;
}

/**
 * Start a bundled server on a folder.
 * @param flags options of Node itself
 * @throws Error with what it printed when it does not start
 */
export async function startOwnServer(
  start: string,
  folder: string,
  options: { uid?: number; gid?: number } = {},
  flags: readonly string[] = [],
): Promise<OwnServer> {
  const child = spawn(process.execPath, [...flags, start, "--folder", folder, "--port", "0", "--no-open"], {
    stdio: ["ignore", "pipe", "pipe"],
    ...options,
  });
  const ended = new Promise<void>((done) => child.once("close", () => done()));
  let output = "";
  const address = await new Promise<string>((found, failed) => {
    const limit = setTimeout(() => {
      child.kill("SIGKILL");
      failed(new Error(`no start within 20 s: ${output}`));
    }, 20_000);
    const give = (chunk: Buffer) => {
      output += chunk;
      const [, at] = /Bole is at (http:\/\/127\.0\.0\.1:\d+)/.exec(output) ?? [];
      if (!at) return;
      clearTimeout(limit);
      found(at);
    };
    child.stdout.on("data", give);
    child.stderr.on("data", give);
    void ended.then(() => {
      clearTimeout(limit);
      failed(new Error(output));
    });
  });
  const agent = new Agent({ keepAlive: true });
  const { port } = new URL(address);
  let token = "";
  const send: OwnServer["send"] = (method, path, body, headers = {}) =>
    new Promise((resolve, reject) => {
      const sent = request(
        {
          agent,
          host: "127.0.0.1",
          port,
          method,
          path,
          headers: {
            ...(method === "GET" ? {} : { "x-bole-token": token }),
            ...(body === undefined
              ? {}
              : { "content-type": "application/json", "content-length": Buffer.byteLength(body) }),
            ...headers,
          },
        },
        (response) => {
          const chunks: Buffer[] = [];
          response.on("data", (chunk) => chunks.push(chunk));
          response.on("error", reject);
          response.on("aborted", () => reject(new Error("cut short")));
          response.on("end", () =>
            resolve({
              status: response.statusCode ?? 0,
              json: JSON.parse(Buffer.concat(chunks).toString("utf8")),
            }),
          );
        },
      );
      sent.on("error", reject);
      sent.end(body);
    });
  token = (await send("GET", "/api/session")).json.token;
  return {
    pid: child.pid ?? 0,
    address,
    send,
    memory() {
      try {
        return Number(readFileSync(`/proc/${child.pid}/statm`, "utf8").split(" ")[1]) * 4096;
      } catch {
        return undefined;
      }
    },
    async kill(signal = "SIGKILL") {
      child.kill(signal);
      await ended;
      agent.destroy();
    },
  };
}
