import type { IncomingMessage, ServerResponse } from "node:http";
import { answerJson } from "../answer.ts";
import type { Door } from "../door.ts";
import { parseGuardedJson } from "../guardedJson.ts";
import { readBody, refuseForeign, type Site } from "../guards.ts";
import { Refusal } from "../refusal.ts";
import type { StaticPage } from "../staticPage.ts";
import { isIn } from "./networks.ts";
import { noCookie, type Shop } from "./shop.ts";

/** Largest request of a device that is not let in, bytes. */
const largestAsk = 4096;

/**
 * The way in for devices of the local network. Who is not let in yet gets the page for pairing, may show a code and ask
 * what has become of it, and nothing else.
 */
export function shopDoor(shop: Shop, page: StaticPage | undefined): Door {
  return async (path, request, response) => {
    refuseForeign(request, siteOf(shop, request.socket.localAddress ?? ""));
    const device = shop.deviceOf(request);
    if (path === "/pair" || path.startsWith("/pair/")) {
      await pair(shop, device !== undefined, path, request, response);
      return undefined;
    }
    if (device) {
      shop.watch(device, response);
      return { token: device.pageToken, device };
    }
    if (request.method === "GET" || request.method === "HEAD") {
      if (page?.sendPairing(path, request, response)) return undefined;
    }
    if (request.headers.cookie !== undefined) response.setHeader("set-cookie", noCookie);
    throw new Refusal(401, "This device is not let in, or not any more. Pair it at the computer.", {
      reason: "device",
    });
  };
}

function siteOf(shop: Shop, reached: string): Site {
  const own = shop.addresses.find(({ address }) => address === reached.replace(/^::ffff:/i, ""));
  return {
    scheme: "https",
    hosts: (port) => (own ? [`${own.address}:${port}`, ...(port === 443 ? [own.address] : [])] : []),
    refuseFar(remote) {
      if (!own || !isIn(remote, own))
        throw new Refusal(403, "Only devices of the local network may use the server.");
    },
  };
}

async function pair(
  shop: Shop,
  isPaired: boolean,
  path: string,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<void> {
  if (path === "/pair" && request.method === "GET") return answerJson(response, 200, { paired: isPaired });
  if (path !== "/pair/ask" && path !== "/pair/wait")
    throw new Refusal(404, "There is nothing at this address.");
  if (request.method !== "POST") throw new Refusal(405, `${request.method} cannot be used here.`);
  if (isPaired) throw new Refusal(409, "This device is let in already.");
  const { text, bytes } = await readBody(request, largestAsk);
  const body = parseGuardedJson(text, "The request", bytes);
  if (body === null || typeof body !== "object" || Array.isArray(body))
    throw new Refusal(400, "The request has to be a JSON object.");
  const { knock, ...shown } = body as Record<string, unknown>;
  if (path === "/pair/ask") answerJson(response, 200, shop.ask(shown, request.socket.remoteAddress ?? ""));
  else answerJson(response, 200, await shop.outcome(knock, response));
}
