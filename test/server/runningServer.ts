import { type IncomingHttpHeaders, request } from "node:http";
import { onTestFinished } from "vitest";
import { listen, openWorkplace, type WorkplaceOptions } from "../../src/server/server.ts";
import { temporaryFolder } from "./temporaryFolder.ts";

export interface Reply {
  status: number;
  headers: IncomingHttpHeaders;
  text: string;
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the tests
  json: any;
}

export interface Call {
  method?: string;
  headers?: Record<string, string>;
  body?: unknown;
  /** Sent as it is, instead of `body`. */
  raw?: string | Buffer;
}

/** The real server on a free port with a folder of its own, stopped after the test. */
export async function runningServer(options: Partial<WorkplaceOptions> = {}) {
  const folder = options.folder ?? (await temporaryFolder());
  const faults: unknown[] = [];
  const workplace = await openWorkplace({
    folder,
    examples: {},
    onFault: (fault) => faults.push(fault),
    ...options,
  });
  const server = await listen(workplace, 0);
  let stopped = false;
  const stop = async () => {
    if (stopped) return;
    stopped = true;
    await server.stop();
  };
  onTestFinished(stop);
  const port = Number(new URL(server.address).port);

  /** Sends exactly what is given; with the token and content type of an honest page unless told otherwise. */
  function send(path: string, call: Call = {}): Promise<Reply> {
    const method = call.method ?? "GET";
    const body = call.raw ?? (call.body === undefined ? undefined : JSON.stringify(call.body));
    const honest: Record<string, string> = method === "GET" ? {} : { "x-bole-token": workplace.token };
    if (body !== undefined) {
      honest["content-type"] = "application/json";
      if (call.headers?.["transfer-encoding"] === undefined)
        honest["content-length"] = String(Buffer.byteLength(body));
    }
    return new Promise((resolve, reject) => {
      const sent = request(
        { host: "127.0.0.1", port, path, method, headers: { ...honest, ...call.headers }, timeout: 20_000 },
        (response) => {
          const chunks: Buffer[] = [];
          response.on("data", (chunk) => chunks.push(chunk));
          response.on("error", reject);
          response.on("end", () => {
            const text = Buffer.concat(chunks).toString("utf8");
            let json: unknown;
            try {
              json = JSON.parse(text);
            } catch {
              json = undefined;
            }
            resolve({ status: response.statusCode ?? 0, headers: response.headers, text, json });
          });
        },
      );
      sent.on("error", reject);
      sent.on("timeout", () => sent.destroy(new Error(`no answer to ${method} ${path}`)));
      sent.end(body);
    });
  }

  return { folder, workplace, address: server.address, port, send, stop, faults };
}
