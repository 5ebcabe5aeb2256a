import { describe, expect, onTestFinished, test } from "vitest";
import { notebook } from "../temporaryFolder.ts";
import { openShop } from "./openShop.ts";

describe("a device is let in", () => {
  test.each(["secret", "code"] as const)(
    "by the %s, when the computer says yes, and then reads and writes",
    async (by) => {
      const { offer, knock, decide, send } = await openShop();
      const shown = await offer();
      const asked = await knock("/pair/ask", { body: { [by]: shown[by], name: "Phone of Ada" } });
      expect(asked.status).toBe(200);
      const waiting = await knock("/pair/wait", { body: { knock: asked.json.knock } });
      expect(waiting.json).toEqual({ answer: "waiting" });
      const { shop } = (await send("/api/shop")).json;
      expect(shop.asking).toEqual([
        { id: expect.any(String), name: "Phone of Ada", from: "127.0.0.3", mark: asked.json.mark },
      ]);
      expect(shop.offer).toBeUndefined(); // good once

      await decide(true);
      const admitted = await knock("/pair/wait", { body: { knock: asked.json.knock } });
      expect(admitted.json).toEqual({ answer: "admitted" });
      const [set] = admitted.headers["set-cookie"] ?? [];
      expect(set).toMatch(
        /^__Host-bole-device=[\w-]{43}; Max-Age=\d+; Path=\/; Secure; HttpOnly; SameSite=Strict$/,
      );
      const cookie = set.split(";")[0];
      const { token, folder } = (await knock("/api/session", { cookie })).json;
      expect([typeof token, typeof folder]).toEqual(["string", "string"]);
      const made = await knock("/api/notebooks", {
        cookie,
        headers: { "x-bole-token": token },
        body: { document: notebook("From the bench") },
      });
      expect(made.status).toBe(201);
      expect((await send("/api/notebooks")).json.notebooks[0].title).toBe("From the bench");
    },
  );

  test("not when the computer says no", async () => {
    const { offer, knock, decide, send } = await openShop();
    const asked = await knock("/pair/ask", { body: { secret: (await offer()).secret, name: "Phone" } });
    await decide(false);
    const refused = await knock("/pair/wait", { body: { knock: asked.json.knock } });
    expect([refused.json, refused.headers["set-cookie"]]).toEqual([{ answer: "refused" }, undefined]);
    expect((await send("/api/shop")).json.shop.devices).toEqual([]);
  });

  test("its name holds nothing that could pass for other words on the screen", async () => {
    const { offer, knock, send } = await openShop();
    const name = `A\u202Egnohp\u0000\n${"x".repeat(200)}`;
    await knock("/pair/ask", { body: { secret: (await offer()).secret, name } });
    const [asking] = (await send("/api/shop")).json.shop.asking;
    expect(asking.name).toMatch(/^A gnohp x+$/);
    expect(asking.name.length).toBeLessThanOrEqual(60);
    const noName = await knock("/pair/ask", { body: { secret: (await offer()).secret, name: "\u202E \n" } });
    expect(noName.status).toBe(422);
  });

  test("and stays let in when the server is started anew, with another token for its page", async () => {
    const first = await openShop();
    const device = await first.paired();
    await first.stopShop();
    await first.stop();
    const again = await openShop({ folder: first.folder, configFolder: first.keys });
    const { status, json } = await again.knock("/api/session", { cookie: device.cookie });
    expect(status).toBe(200);
    expect(json.token).not.toBe(device.token);
    expect(again.network.identity.fingerprint).toBe(first.network.identity.fingerprint);
    expect(again.network.identity.isNew).toBe(false);
  });

  test("into the folder of this server only", async () => {
    const first = await openShop();
    const device = await first.paired();
    const other = await openShop({ configFolder: first.keys });
    expect((await other.knock("/api/session", { cookie: device.cookie })).status).toBe(401);
  });
});

describe("a photograph", () => {
  const cells = [{ id: "photo", title: "Seat by the window" }];
  const client = "page-of-the-computer";
  const picture = { data: "data:image/png;base64,AA==" };

  /** A page of the computer that has a photo cell open, and a device. */
  async function opened() {
    const shop = await openShop();
    const device = await shop.paired();
    const announce = (open: typeof cells) =>
      shop.send("/api/photographs/places", {
        method: "PUT",
        headers: { "x-bole-client": client },
        body: { notebook: "a", cells: open },
      });
    await announce(cells);
    const hand = (cell = "photo") =>
      shop.knock("/api/photographs", {
        cookie: device.cookie,
        headers: { "x-bole-token": device.token },
        body: { client, cell, picture },
      });
    return { ...shop, ...device, announce, hand };
  }

  test("goes from a device to the cell that is open on the computer", async () => {
    const { address, knock, cookie, send, hand } = await opened();
    const { places } = (await knock("/api/photographs/places", { cookie })).json;
    expect(places).toEqual([{ notebook: "a", cells, client }]);
    const events = await eventsOf(address);
    const handed = hand();
    const news = JSON.parse(await events("photograph"));
    expect(news).toEqual({ id: expect.any(String), client, cell: "photo" });
    const { json } = await send(`/api/photographs/${news.id}`);
    expect(json.picture).toEqual(picture);
    await send(`/api/photographs/${news.id}/taken`, { method: "POST", body: {} });
    expect((await handed).status).toBe(201);
    expect((await send(`/api/photographs/${news.id}`)).status).toBe(404);
  });

  test("that the page could not take is told to the device with the reason", async () => {
    const { address, send, hand } = await opened();
    const events = await eventsOf(address);
    const handed = hand();
    const { id } = JSON.parse(await events("photograph"));
    await send(`/api/photographs/${id}/taken`, { method: "POST", body: { trouble: "It is no picture." } });
    const { status, json } = await handed;
    expect([status, json.error]).toEqual([422, "It is no picture."]);
  });

  test("for a cell that is not open is refused", async () => {
    const { announce, hand } = await opened();
    expect((await hand("other")).status).toBe(409);
    await announce([]);
    expect((await hand()).status).toBe(409);
  });
});

/** Listens to the events of the loopback page. @returns waits for the data of the next event of a kind */
async function eventsOf(address: string): Promise<(kind: string) => Promise<string>> {
  const ended = new AbortController();
  onTestFinished(() => ended.abort());
  const response = await fetch(`${address}/api/events`, { signal: ended.signal });
  const reader = response.body!.pipeThrough(new TextDecoderStream()).getReader();
  let text = "";
  return async (kind) => {
    for (;;) {
      const found = new RegExp(`event: ${kind}\\ndata: (.*)\\n\\n`).exec(text);
      if (found) return found[1];
      const { value, done } = await reader.read();
      if (done) throw new Error(`no event ${kind}`);
      text += value;
    }
  };
}
