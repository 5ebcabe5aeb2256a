import { timingSafeEqual } from "node:crypto";
import type { IncomingMessage, ServerResponse } from "node:http";
import { withoutMark } from "./notebookFile.ts";
import { Refusal } from "./refusal.ts";

/** Largest request body, bytes. */
const largestBody = 20 * 1024 * 1024;

/** Header that carries the token of this start of the server. */
const tokenHeader = "x-bole-token";

/** Header by which a page marks its own changes, so that it can tell them from those of others. */
const clientHeader = "x-bole-client";

const discardAtMost = 4 * largestBody;

/**
 * Refuses what does not come from a page of this very server: other computers, a foreign name in Host (a foreign
 * site whose name was pointed at this computer), a foreign Origin, and requests that the browser marks as coming
 * from another site.
 */
export function refuseForeign(request: IncomingMessage): void {
  const remote = request.socket.remoteAddress ?? "";
  if (!/^(?:::ffff:)?127\.|^::1$/.test(remote))
    throw new Refusal(403, "Only this computer may use the server.");

  const hosts = ownHosts(request.socket.localPort ?? 0);
  const host = request.headers.host?.toLowerCase();
  if (host === undefined || !hosts.includes(host)) {
    throw new Refusal(403, "The host name of the request is not the one of this server.");
  }
  const origin = request.headers.origin?.toLowerCase();
  if (origin !== undefined && origin !== `http://${host}`) {
    throw new Refusal(403, "Requests from other pages are refused.");
  }
  const site = request.headers["sec-fetch-site"];
  if (site !== undefined && site !== "same-origin" && site !== "none") {
    throw new Refusal(
      403,
      "Requests from other sites are refused. Type the address into the address bar instead.",
    );
  }
}

/** Refuses a request that changes something without the token of this start. */
export function refuseWithoutToken(request: IncomingMessage, token: string): void {
  const given = Buffer.from(String(request.headers[tokenHeader] ?? ""));
  const wanted = Buffer.from(token);
  if (given.length !== wanted.length || !timingSafeEqual(given, wanted)) {
    throw new Refusal(403, "The page belongs to an earlier start of the server. Reload the page.", {
      reason: "token",
    });
  }
}

/** Mark of the page that sent the request, if it gave a well-formed one. */
export function clientOf(request: IncomingMessage): string | undefined {
  const client = request.headers[clientHeader];
  return typeof client === "string" && /^[A-Za-z0-9-]{1,64}$/.test(client) ? client : undefined;
}

/**
 * Reads a JSON body as text.
 *
 * @throws Refusal for another content type (415), more than `largestBody` bytes (413), text that is not UTF-8 (400)
 */
export async function readBody(request: IncomingMessage): Promise<{ text: string; bytes: Uint8Array }> {
  const type = (request.headers["content-type"] ?? "").toLowerCase().replaceAll(" ", "");
  if (type !== "application/json" && type !== "application/json;charset=utf-8") {
    throw new Refusal(415, "The content type has to be application/json.");
  }
  if (request.headers["content-encoding"] !== undefined) {
    throw new Refusal(415, "Compressed requests are not read.");
  }
  if (Number(request.headers["content-length"] ?? 0) > largestBody) throw tooLarge();
  const bytes = withoutMark(await collect(request));
  try {
    return { text: new TextDecoder("utf-8", { fatal: true }).decode(bytes), bytes };
  } catch {
    throw new Refusal(400, "The request is not UTF-8 text.");
  }
}

function collect(request: IncomingMessage): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    const chunks: Buffer[] = [];
    let size = 0;
    const take = (chunk: Buffer) => {
      size += chunk.length;
      if (size <= largestBody) chunks.push(chunk);
      else {
        request.off("data", take);
        reject(tooLarge());
      }
    };
    request.on("data", take);
    request.once("end", () => resolve(Buffer.concat(chunks)));
    const cutShort = () => reject(new Refusal(400, "The request was cut short."));
    request.once("error", cutShort);
    request.once("close", cutShort);
  });
}

/**
 * Lets what is left of a refused body run out, within a limit, so that the sender gets to read the answer; the
 * connection is not used again.
 */
export function discardBody(request: IncomingMessage, response: ServerResponse): void {
  if (request.complete) return;
  response.setHeader("connection", "close");
  let size = 0;
  request.on("data", (chunk: Buffer) => {
    size += chunk.length;
    if (size > discardAtMost) request.destroy();
  });
}

function tooLarge(): Refusal {
  return new Refusal(413, "The request is larger than 20 MB.");
}

function ownHosts(port: number): string[] {
  const names = ["127.0.0.1", "localhost", "[::1]"];
  const withPort = names.map((name) => `${name}:${port}`);
  return port === 80 ? [...withPort, ...names] : withPort;
}
