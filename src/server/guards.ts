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

/** What a request says when it comes from a page of one way into the server. */
export interface Site {
  readonly scheme: "http" | "https";
  /** The names in Host that are this server, with its port. */
  hosts(port: number): readonly string[];
  /** Refuses addresses that have no business here. */
  refuseFar(remote: string): void;
}

/**
 * Refuses what does not come from a page of this very server: other computers, a foreign name in Host (a foreign
 * site whose name was pointed at this computer), a foreign Origin, and requests that the browser marks as coming
 * from another site.
 */
export function refuseForeign(request: IncomingMessage, site: Site): void {
  site.refuseFar(request.socket.remoteAddress ?? "");
  const hosts = site.hosts(request.socket.localPort ?? 0);
  const host = request.headers.host?.toLowerCase();
  if (host === undefined || !hosts.includes(host)) {
    throw new Refusal(403, "The host name of the request is not the one of this server.");
  }
  const origin = request.headers.origin?.toLowerCase();
  if (origin !== undefined && origin !== `${site.scheme}://${host}`) {
    throw new Refusal(403, "Requests from other pages are refused.");
  }
  const from = request.headers["sec-fetch-site"];
  if (from !== undefined && from !== "same-origin" && from !== "none") {
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
 * @throws Refusal for another content type (415), more than `most` bytes (413), text that is not UTF-8 (400)
 */
export async function readBody(
  request: IncomingMessage,
  most = largestBody,
): Promise<{ text: string; bytes: Uint8Array }> {
  const type = (request.headers["content-type"] ?? "").toLowerCase().replaceAll(" ", "");
  if (type !== "application/json" && type !== "application/json;charset=utf-8") {
    throw new Refusal(415, "The content type has to be application/json.");
  }
  if (request.headers["content-encoding"] !== undefined) {
    throw new Refusal(415, "Compressed requests are not read.");
  }
  if (Number(request.headers["content-length"] ?? 0) > most) throw tooLarge(most);
  const bytes = withoutMark(await collect(request, most));
  try {
    return { text: new TextDecoder("utf-8", { fatal: true }).decode(bytes), bytes };
  } catch {
    throw new Refusal(400, "The request is not UTF-8 text.");
  }
}

function collect(request: IncomingMessage, most: number): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    const chunks: Buffer[] = [];
    let size = 0;
    const take = (chunk: Buffer) => {
      size += chunk.length;
      if (size <= most) chunks.push(chunk);
      else {
        request.off("data", take);
        reject(tooLarge(most));
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

function tooLarge(most: number): Refusal {
  return new Refusal(413, `The request is larger than ${most === largestBody ? "20 MB" : `${most} bytes`}.`);
}
