// long because the attacks stand in one list, each with its name.
import { readdir, readFile } from "node:fs/promises";
import { connect } from "node:net";
import { join } from "node:path";
import { connect as connectSecure } from "node:tls";
import { describe, expect, test } from "vitest";
import { goodForMs } from "../../../src/server/shop/pairing.ts";
import { builtPage } from "../builtPage.ts";
import { notebook } from "../temporaryFolder.ts";
import { openShop, type ShopCall, type ShopReply } from "./openShop.ts";

type Shop = Awaited<ReturnType<typeof openShop>>;

const title = "Recipe of the house";
const wrongCodes = (code: string, count: number) =>
  Array.from({ length: count }, (_, i) => String((Number(code) + 1 + i) % 1_000_000).padStart(6, "0"));

/** A server with a notebook that is nobody's business. */
async function shopWithSecret(options: Parameters<typeof openShop>[0] = {}): Promise<Shop> {
  const shop = await openShop({ pageFolder: await builtPage(), ...options });
  await shop.send("/api/notebooks", { method: "POST", body: { name: "secret", document: notebook(title) } });
  return shop;
}

/** What was asked for is refused, and the answer tells nothing. */
function refused(shop: Shop, reply: ShopReply, ...statuses: number[]): void {
  expect(statuses.length > 0 ? statuses : [401, 403]).toContain(reply.status);
  expect(reply.text).not.toContain(title);
  expect(reply.text).not.toContain(shop.workplace.token);
  expect(reply.text).not.toContain("bole-token");
  for (const set of reply.headers["set-cookie"] ?? [])
    expect(set).toMatch(/^__Host-bole-device=; Max-Age=0;/);
  expect(reply.headers["access-control-allow-origin"]).toBeUndefined();
}

const ask = (shop: Shop, shown: object, call: ShopCall = {}) =>
  shop.knock("/pair/ask", { body: { name: "Phone", ...shown }, ...call });

/** Tries to read and to change with what an attacker has. */
async function triesAll(shop: Shop, call: ShopCall, ...statuses: number[]): Promise<void> {
  const headers = { ...call.headers };
  for (const path of ["/api/notebooks", "/api/notebooks/secret", "/api/session", "/api/events", "/"])
    refused(shop, await shop.knock(path, { ...call, headers }), ...statuses);
  const body = { document: notebook("Planted") };
  refused(shop, await shop.knock("/api/notebooks", { ...call, headers, body }), ...statuses);
  refused(
    shop,
    await shop.knock("/api/notebooks/secret", { ...call, headers, method: "DELETE" }),
    ...statuses,
  );
}

const onPairing: Record<string, (shop: Shop) => Promise<void>> = {
  "guessing the code: five wrong ones close it": async (shop) => {
    const { code } = await shop.offer();
    for (const wrong of wrongCodes(code, 5)) refused(shop, await ask(shop, { code: wrong }), 403);
    refused(shop, await ask(shop, { code }), 403);
  },
  "guessing the code with many requests at once": async (shop) => {
    const { code } = await shop.offer();
    const replies = await Promise.all(wrongCodes(code, 12).map((wrong) => ask(shop, { code: wrong })));
    for (const reply of replies) refused(shop, reply, 403);
    refused(shop, await ask(shop, { code }), 403);
  },
  "guessing the code from many addresses": async (shop) => {
    const { code } = await shop.offer();
    for (const [i, wrong] of wrongCodes(code, 5).entries())
      refused(shop, await ask(shop, { code: wrong }, { from: `127.0.1.${i + 1}` }), 403);
    refused(shop, await ask(shop, { code }), 403);
  },
  "guessing the secret: wrong ones count as well": async (shop) => {
    const { code } = await shop.offer();
    for (const wrong of wrongCodes(code, 5)) refused(shop, await ask(shop, { secret: wrong }), 403);
    refused(shop, await ask(shop, { code }), 403);
  },
  "a part of the secret, or nothing for it": async (shop) => {
    const { secret } = await shop.offer();
    for (const part of ["", secret.slice(0, -1), `${secret}A`, secret.toLowerCase()])
      refused(shop, await ask(shop, { secret: part }), 403);
  },
  "a code of another type": async (shop) => {
    const { code, secret } = await shop.offer();
    for (const shown of [
      { code: Number(code) },
      { code: [code] },
      { secret: { toString: secret } },
      { code: null },
    ])
      refused(shop, await ask(shop, shown), 403);
  },
  "a code where none was offered": async (shop) => {
    for (const shown of [{ code: "000000" }, { code: "" }, { secret: "" }, {}])
      refused(shop, await ask(shop, shown), 403);
  },
  "a code used again": async (shop) => {
    const { code, secret } = await shop.offer();
    expect((await ask(shop, { code })).status).toBe(200);
    refused(shop, await ask(shop, { code }), 403);
    refused(shop, await ask(shop, { secret }), 403);
    await shop.decide(false);
  },
  "a code after its two minutes": async (shop) => {
    const { code, secret } = await shop.offer();
    shop.clock.passed += goodForMs;
    refused(shop, await ask(shop, { code }), 403);
    refused(shop, await ask(shop, { secret }), 403);
  },
  "a code that the computer has taken back": async (shop) => {
    const { code } = await shop.offer();
    await shop.send("/api/shop/offer", { method: "DELETE" });
    refused(shop, await ask(shop, { code }), 403);
  },
  "a code from before the present one": async (shop) => {
    const { secret } = await shop.offer();
    await shop.offer();
    refused(shop, await ask(shop, { secret }), 403);
  },
  "coming in before the computer has said yes": async (shop) => {
    const { secret } = await shop.offer();
    const { json } = await ask(shop, { secret });
    await triesAllBut(shop, { cookie: `__Host-bole-device=${json.knock}` });
    await shop.decide(false);
  },
  "a guess at the waiting of another device": async (shop) => {
    await ask(shop, { secret: (await shop.offer()).secret });
    await shop.decide(true);
    for (const knock of ["", "A".repeat(43), null, 7, {}])
      refused(shop, await shop.knock("/pair/wait", { body: { knock } }), 403);
  },
  "the yes for a device taken a second time": async (shop) => {
    const { json } = await ask(shop, { secret: (await shop.offer()).secret });
    await shop.decide(true);
    const first = await shop.knock("/pair/wait", { body: json });
    expect(first.json.answer).toBe("admitted");
    refused(shop, await shop.knock("/pair/wait", { body: json }), 403);
    await shop.send(`/api/shop/devices/${(await devicesOf(shop))[0].id}`, { method: "DELETE" });
  },
  "a yes that is fetched after two minutes": async (shop) => {
    const { json } = await ask(shop, { secret: (await shop.offer()).secret });
    await shop.decide(true);
    shop.clock.passed += goodForMs;
    refused(shop, await shop.knock("/pair/wait", { body: json }), 403);
  },
  "saying yes to oneself": async (shop) => {
    const { json } = await ask(shop, { secret: (await shop.offer()).secret });
    const [{ id }] = (await shop.send("/api/shop")).json.shop.asking;
    for (const token of ["", shop.workplace.token]) {
      const headers = { "x-bole-token": token };
      refused(shop, await shop.knock(`/api/shop/asking/${id}`, { headers, body: { admit: true } }), 401);
    }
    expect((await shop.knock("/pair/wait", { body: json })).json).toEqual({ answer: "waiting" });
    await shop.decide(false);
  },
  "a form of another site (no preflight is asked for it)": async (shop) => {
    const { code } = await shop.offer();
    const raw = `{"code":"${code}","name":"Phone","x":"="}`;
    for (const type of ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"]) {
      const headers = { "content-type": type };
      refused(shop, await shop.knock("/pair/ask", { method: "POST", raw, headers }), 415);
      const foreign = { ...headers, origin: "https://attacker.example", "sec-fetch-site": "cross-site" };
      refused(shop, await shop.knock("/pair/ask", { method: "POST", raw, headers: foreign }), 403);
    }
  },
  "a request made to keep the server busy, or to reach its prototypes": async (shop) => {
    const { code } = await shop.offer();
    refused(shop, await ask(shop, { code, padding: "x".repeat(5000) }), 413);
    const deep = `{"code":${"[".repeat(1000)}${"]".repeat(1000)}}`;
    refused(shop, await shop.knock("/pair/ask", { method: "POST", raw: deep }), 400);
    const keys = '{"__proto__":{"admit":true},"name":"Phone"}';
    refused(shop, await shop.knock("/pair/ask", { method: "POST", raw: keys }), 400);
    refused(shop, await shop.knock("/pair/ask", { method: "POST", raw: "[]" }), 400);
  },
};

const onGuards: Record<string, (shop: Shop) => Promise<void>> = {
  "reading and changing without being let in": (shop) => triesAllBut(shop, {}),
  "the event stream without being let in": async (shop) => {
    refused(shop, await shop.knock("/api/events"), 401);
    expect(
      await firstWords(shop, `GET /api/events HTTP/1.1\r\nhost: ${new URL(shop.place).host}\r\n\r\n`),
    ).toMatch(/^HTTP\/1\.1 401 /);
  },
  "every other address without being let in": async (shop) => {
    const paths = ["/api", "/api/library", "/api/ledger", "/api/bin", "/api/shop", "/api/photographs/places"];
    for (const path of [...paths, "/authority.crt", "/assets/main-abc.js", "/mark.svg", "/pair.html"])
      refused(shop, await shop.knock(path), 401);
  },
  "the token of the computer's page without being let in": (shop) =>
    triesAllBut(shop, { headers: { "x-bole-token": shop.workplace.token } }),
  "ways round the beginning of the address": async (shop) => {
    for (const path of [
      "//api/notebooks",
      "/pair/../api/notebooks",
      "/pair/%2e%2e/api/notebooks",
      "/pair/ask/../../api/notebooks",
      "/api%2fnotebooks",
      "/API/notebooks",
      `http://127.0.0.1:${shop.port}/api/notebooks`,
      "/?/api/notebooks#/api",
    ]) {
      const reply = await shop.knock(path);
      if (reply.status === 200)
        expect(reply.text).toContain("Pairing"); // the page for devices that are not let in
      else refused(shop, reply, 401, 404);
      expect(reply.text).not.toContain(title);
    }
  },
  "a foreign name that was pointed at this computer": async (shop) => {
    const { cookie } = await shop.paired();
    const port = shop.shopPort;
    for (const host of [`attacker.example:${port}`, "attacker.example", "127.0.0.2", `127.0.0.2:${port + 1}`])
      await triesAll(shop, { cookie, headers: { host } }, 403);
  },
  "the names of the loopback address": async (shop) => {
    const { cookie } = await shop.paired();
    for (const host of [`localhost:${shop.shopPort}`, `127.0.0.1:${shop.port}`, `[::1]:${shop.shopPort}`])
      await triesAll(shop, { cookie, headers: { host } }, 403);
  },
  "a foreign origin": async (shop) => {
    const { cookie, token } = await shop.paired();
    const clear = shop.place.replace("https:", "http:");
    for (const origin of [
      "https://attacker.example",
      "null",
      clear,
      `http://127.0.0.1:${shop.port}`,
      "https://127.0.0.2",
    ])
      await triesAll(shop, { cookie, headers: { origin, "x-bole-token": token } }, 403);
  },
  "a foreign origin at the pairing": async (shop) => {
    const { secret } = await shop.offer();
    const headers = { origin: "https://attacker.example" };
    refused(shop, await ask(shop, { secret }, { headers }), 403);
  },
  "a fetch of another site with the cookie of a device": async (shop) => {
    const { cookie, token } = await shop.paired();
    for (const site of ["cross-site", "same-site"])
      await triesAll(shop, { cookie, headers: { "sec-fetch-site": site, "x-bole-token": token } }, 403);
  },
  "a preflight of another site": async (shop) => {
    const headers = { origin: "https://attacker.example", "access-control-request-method": "POST" };
    refused(shop, await shop.knock("/api/notebooks", { method: "OPTIONS", headers }), 403);
  },
  "a change with the cookie alone": async (shop) => {
    const { cookie } = await shop.paired();
    for (const token of ["", "0".repeat(48)]) {
      const call = { cookie, headers: { "x-bole-token": token } };
      const body = { document: notebook("Planted") };
      refused(shop, await shop.knock("/api/notebooks", { ...call, body }), 403);
      refused(shop, await shop.knock("/api/notebooks/secret", { ...call, method: "DELETE" }), 403);
    }
  },
  "a change with the token of another page": async (shop) => {
    const { cookie } = await shop.paired();
    const other = await shop.paired("Tablet");
    for (const token of [shop.workplace.token, other.token]) {
      const call = { cookie, headers: { "x-bole-token": token }, method: "DELETE" };
      refused(shop, await shop.knock("/api/notebooks/secret", call), 403);
    }
  },
  "a guessed cookie, one of another name, and two at once": async (shop) => {
    const { cookie } = await shop.paired();
    const [, token] = cookie.split("=");
    for (const tried of [
      `__Host-bole-device=${"A".repeat(43)}`,
      "__Host-bole-device=",
      `__Host-bole-device=${token.slice(0, -1)}`,
      `bole-device=${token}`,
      `__Secure-bole-device=${token}`,
      `__Host-bole-device=planted; ${cookie}`,
    ])
      await triesAllBut(shop, { cookie: tried });
  },
  "what stands in the list of devices, as a cookie": async (shop) => {
    await shop.paired();
    const [name] = (await readdir(shop.keys)).filter((file) => file.startsWith("devices-"));
    const { devices } = JSON.parse(await readFile(join(shop.keys, name), "utf8"));
    await triesAllBut(shop, { cookie: `__Host-bole-device=${devices[0].hash}` });
    await triesAllBut(shop, { cookie: `__Host-bole-device=${devices[0].id}` });
  },
  "a stolen cookie after Send away": async (shop) => {
    const { cookie, token, id } = await shop.paired();
    expect((await shop.knock("/api/notebooks", { cookie })).status).toBe(200);
    await shop.send(`/api/shop/devices/${id}`, { method: "DELETE" });
    await triesAllBut(shop, { cookie, headers: { "x-bole-token": token } });
  },
  "an event stream that was open before Send away": async (shop) => {
    const { cookie, id } = await shop.paired();
    const stream = `GET /api/events HTTP/1.1\r\nhost: ${new URL(shop.place).host}\r\ncookie: ${cookie}\r\n\r\n`;
    const heard = words(shop, stream);
    await expect.poll(async () => (await devicesOf(shop))[0].here).toBe(true);
    await shop.send(`/api/shop/devices/${id}`, { method: "DELETE" });
    const text = await heard; // ends with the connection
    expect(text).toContain("event: ready");
    expect(text).not.toContain("event: notebook");
  },
  "a device that makes an offer, lets in or sends away": async (shop) => {
    const one = await shop.paired();
    const other = await shop.paired("Tablet");
    const call = { cookie: one.cookie, headers: { "x-bole-token": one.token } };
    refused(shop, await shop.knock("/api/shop/offer", { ...call, body: {} }), 403);
    refused(shop, await shop.knock("/api/shop/offer", { ...call, method: "DELETE" }), 403);
    refused(shop, await shop.knock(`/api/shop/devices/${other.id}`, { ...call, method: "DELETE" }), 403);
    const { code } = await shop.offer();
    await ask(shop, { code });
    const [{ id }] = (await shop.send("/api/shop")).json.shop.asking;
    refused(shop, await shop.knock(`/api/shop/asking/${id}`, { ...call, body: { admit: true } }), 403);
    await shop.decide(false);
    await shop.offer();
    expect((await shop.knock("/api/shop", call)).json).toEqual({ device: { name: "Phone" } });
  },
  "a device that takes the pictures of others, or says that it is the computer": async (shop) => {
    const { cookie, token } = await shop.paired();
    const call = { cookie, headers: { "x-bole-token": token, "x-bole-client": "page" } };
    const places = { notebook: "a", cells: [{ id: "a", title: "a" }] };
    refused(shop, await shop.knock("/api/photographs/places", { ...call, method: "PUT", body: places }), 403);
    refused(shop, await shop.knock("/api/photographs/0123456789abcdef", call), 403);
    refused(shop, await shop.knock("/api/photographs/0123456789abcdef/taken", { ...call, body: {} }), 403);
  },
  "cleartext at the port of the shop network": async (shop) => {
    const { cookie } = await shop.paired();
    const host = new URL(shop.place).host;
    const heard = await new Promise<string>((resolve) => {
      let text = "";
      const socket = connect({ host: "127.0.0.2", port: shop.shopPort }, () =>
        socket.write(`GET /api/notebooks HTTP/1.1\r\nhost: ${host}\r\ncookie: ${cookie}\r\n\r\n`),
      );
      socket.on("data", (data) => (text += data.toString("latin1")));
      socket.on("error", () => undefined);
      socket.on("close", () => resolve(text));
    });
    expect(heard).not.toMatch(/HTTP\/1\.1 [23]|Recipe|bole/);
  },
  "the port of the computer's own page, from the network": async (shop) => {
    const outcome = await new Promise<string>((resolve) => {
      const socket = connect({ host: "127.0.0.2", port: shop.port }, () => resolve("connected"));
      socket.on("error", (error: NodeJS.ErrnoException) => resolve(error.code ?? ""));
    });
    expect(outcome).toBe("ECONNREFUSED");
  },
  "every connection that can be had": async (shop) => {
    const held = Array.from({ length: 130 }, () => connect({ host: "127.0.0.2", port: shop.shopPort }));
    for (const socket of held) socket.on("error", () => undefined);
    await Promise.all(
      held.map((socket) => new Promise((go) => socket.once("connect", go).once("close", go))),
    );
    expect((await shop.send("/api/notebooks")).status).toBe(200);
    for (const socket of held) socket.destroy();
    await expect
      .poll(() =>
        shop.knock("/pair").then(
          ({ status }) => status,
          () => 0,
        ),
      )
      .toBe(200);
  },
  "words that claim to come from this computer": async (shop) => {
    const claims = { "x-forwarded-for": "127.0.0.1", forwarded: "for=127.0.0.1", "x-real-ip": "127.0.0.1" };
    await triesAllBut(shop, { headers: claims });
    await triesAllBut(shop, {
      headers: { ...claims, "x-bole-client": "page", "x-http-method-override": "GET" },
    });
  },
};

/** As `triesAll`, but the page for pairing is what stands at the root. */
async function triesAllBut(shop: Shop, call: ShopCall): Promise<void> {
  for (const path of ["/api/notebooks", "/api/notebooks/secret", "/api/session", "/api/events"])
    refused(shop, await shop.knock(path, call), 401);
  const body = { document: notebook("Planted") };
  refused(shop, await shop.knock("/api/notebooks", { ...call, body }), 401);
  refused(shop, await shop.knock("/api/notebooks/secret", { ...call, method: "DELETE" }), 401);
  const start = await shop.knock("/", call);
  expect(start.text).toContain("Pairing");
  refused(shop, start, 200);
}

async function devicesOf(shop: Shop) {
  return (await shop.send("/api/shop")).json.shop.devices as { id: string; here: boolean }[];
}

/** Everything that the server says on a secure connection until it ends. */
function words(shop: Shop, request: string, until?: RegExp): Promise<string> {
  return new Promise((resolve) => {
    let text = "";
    const ca = shop.network.identity.authority;
    const socket = connectSecure({ host: "127.0.0.2", port: shop.shopPort, ca }, () => socket.write(request));
    socket.on("data", (data) => {
      text += data;
      if (until?.test(text)) socket.destroy();
    });
    socket.on("error", () => undefined);
    socket.on("close", () => resolve(text));
  });
}

const firstWords = (shop: Shop, request: string) => words(shop, request, /\r\n/);

describe("attacks on the pairing are refused, and let no device in", () => {
  test.each(Object.keys(onPairing))("%s", async (name) => {
    const shop = await shopWithSecret();
    await onPairing[name](shop);
    expect(await devicesOf(shop)).toEqual([]);
    await stillWhole(shop);
  });
});

describe("attacks on the guards are refused, and change nothing", () => {
  test.each(Object.keys(onGuards))("%s", async (name) => {
    const shop = await shopWithSecret();
    await onGuards[name](shop);
    await stillWhole(shop);
  });

  test("an address outside the local network", async () => {
    const addresses = [{ address: "127.0.0.2", network: "127.0.0.0", bits: 30 }];
    const shop = await shopWithSecret({ addresses });
    const { cookie, token } = await shop.paired(); // from 127.0.0.3, inside
    await triesAll(shop, { from: "127.0.0.4", cookie, headers: { "x-bole-token": token } }, 403);
    const { secret } = await shop.offer();
    refused(shop, await ask(shop, { secret }, { from: "127.0.0.4" }), 403);
    expect((await ask(shop, { secret })).status).toBe(200); // the wrong network has used nothing up
    await stillWhole(shop);
  });
});

test("there are at least thirty", () => {
  expect(Object.keys({ ...onPairing, ...onGuards }).length + 1).toBeGreaterThanOrEqual(30);
});

/** The notebook stands as it was, alone, and the server has had no fault. */
async function stillWhole(shop: Shop): Promise<void> {
  const { notebooks } = (await shop.send("/api/notebooks")).json;
  expect(notebooks.map((entry: { title: string }) => entry.title)).toEqual([title]);
  expect(shop.faults).toEqual([]);
}
