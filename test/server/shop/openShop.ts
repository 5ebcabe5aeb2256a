import type { IncomingHttpHeaders } from "node:http";
import { request } from "node:https";
import { join } from "node:path";
import { checkServerIdentity } from "node:tls";
import { onTestFinished } from "vitest";
import { listenShop } from "../../../src/server/shop/listenShop.ts";
import type { LocalAddress } from "../../../src/server/shop/networks.ts";
import { runningServer } from "../runningServer.ts";
import { temporaryFolder } from "../temporaryFolder.ts";

export interface ShopReply {
  status: number;
  headers: IncomingHttpHeaders;
  text: string;
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the tests
  json: any;
}

export interface ShopCall {
  method?: string;
  headers?: Record<string, string>;
  body?: unknown;
  raw?: string;
  /** Address that the request comes from. */
  from?: string;
  cookie?: string;
}

export const tryAddress: LocalAddress = { address: "127.0.0.2", network: "127.0.0.0", bits: 8 };

/** The real server with its shop network at an address of the loopback range, stopped after the test. */
export async function openShop({
  addresses = [tryAddress],
  pageFolder,
  folder,
  configFolder,
}: {
  addresses?: readonly LocalAddress[];
  pageFolder?: string;
  folder?: string;
  configFolder?: string;
} = {}) {
  const clock = { passed: 0 };
  const keys = configFolder ?? join(await temporaryFolder(), "config");
  const computer = await runningServer({
    ...(pageFolder && { pageFolder }),
    ...(folder && { folder }),
    shop: { configFolder: keys, addresses, now: () => performance.now() + clock.passed },
  });
  const stop = await listenShop(computer.workplace, 0);
  onTestFinished(stop);
  const { network } = computer.workplace.shop!;
  const place = network.places[0];
  const { host, hostname, port } = new URL(place);

  /** Sends to the shop network what a page there would send, unless told otherwise. */
  function knock(path: string, call: ShopCall = {}): Promise<ShopReply> {
    const method = call.method ?? (call.body === undefined && call.raw === undefined ? "GET" : "POST");
    const text = call.raw ?? (call.body === undefined ? undefined : JSON.stringify(call.body));
    const honest: Record<string, string> = method === "GET" ? {} : { origin: place };
    if (text !== undefined) honest["content-type"] = "application/json";
    if (call.cookie) honest.cookie = call.cookie;
    return new Promise((resolve, reject) => {
      const sent = request(
        {
          host: hostname,
          port,
          path,
          method,
          agent: false,
          localAddress: call.from ?? "127.0.0.3",
          ca: network.identity.authority,
          // Whatever the request says: the certificate has to be for the address.
          checkServerIdentity: (_, certificate) => checkServerIdentity(hostname, certificate),
          headers: { host, ...honest, ...call.headers },
          timeout: 20_000,
        },
        (response) => {
          const chunks: Buffer[] = [];
          response.on("data", (chunk) => chunks.push(chunk));
          response.on("error", reject);
          response.on("end", () => {
            const answer = Buffer.concat(chunks).toString("utf8");
            let json: unknown;
            try {
              json = JSON.parse(answer);
            } catch {
              json = undefined;
            }
            resolve({ status: response.statusCode ?? 0, headers: response.headers, text: answer, json });
          });
        },
      );
      sent.on("error", reject);
      sent.on("timeout", () => sent.destroy(new Error(`no answer to ${method} ${path}`)));
      sent.end(text);
    });
  }

  /** The computer offers a code. */
  const offer = async (): Promise<{ code: string; secret: string }> => {
    const { json } = await computer.send("/api/shop/offer", { method: "POST", body: {} });
    return { code: json.shop.offer.code, secret: json.shop.offer.links[0].split("#pair=")[1] };
  };

  /** The computer lets in, or turns away, whoever waits. */
  const decide = async (admit: boolean) => {
    const { json } = await computer.send("/api/shop");
    for (const { id } of json.shop.asking)
      await computer.send(`/api/shop/asking/${id}`, { method: "POST", body: { admit } });
  };

  /** A device goes through the whole pairing. @returns its cookie and the token of its page */
  async function paired(name = "Phone") {
    const { secret } = await offer();
    const asked = await knock("/pair/ask", { body: { secret, name } });
    await decide(true);
    const { headers } = await knock("/pair/wait", { body: { knock: asked.json.knock } });
    const cookie = String(headers["set-cookie"]).split(";")[0];
    const { json } = await knock("/api/session", { cookie });
    const { shop } = (await computer.send("/api/shop")).json;
    return { cookie, token: json.token as string, id: shop.devices.at(-1).id as string, headers };
  }

  return {
    ...computer,
    network,
    place,
    shopPort: Number(port),
    keys,
    clock,
    knock,
    offer,
    decide,
    paired,
    stopShop: stop,
  };
}
