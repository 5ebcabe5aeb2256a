import { once } from "node:events";
import { readFile, rm, writeFile } from "node:fs/promises";
import { connect } from "node:net";
import { join } from "node:path";
import { describe, expect, onTestFinished, test, vi } from "vitest";
import { revisionOf } from "../../src/server/revisions.ts";
import { runningServer } from "./runningServer.ts";
import { notebook, notebookText } from "./temporaryFolder.ts";

interface ServerEvent {
  event: string;
  // biome-ignore lint/suspicious/noExplicitAny: checked by the tests
  data: any;
}

/** Listens as a page does; `next` waits for the next event of a kind. */
async function listen(address: string) {
  const stop = new AbortController();
  onTestFinished(() => stop.abort());
  const response = await fetch(`${address}/api/events`, { signal: stop.signal });
  if (response.status !== 200) throw new Error(await response.text());
  const events: ServerEvent[] = [];
  let wake = () => {};
  let ended = false;
  void (async () => {
    let text = "";
    try {
      for await (const chunk of response.body!.pipeThrough(new TextDecoderStream())) {
        text += chunk;
        const blocks = text.split("\n\n");
        text = blocks.pop()!;
        for (const block of blocks) {
          const event = /^event: (.*)$/m.exec(block)?.[1];
          const data = /^data: (.*)$/m.exec(block)?.[1];
          if (event && data) events.push({ event, data: JSON.parse(data) });
        }
        wake();
      }
    } catch {
      // the connection was closed
    }
    ended = true;
    wake();
  })();
  const until = async <T>(look: () => T | undefined): Promise<T> => {
    const giveUp = Date.now() + 10_000;
    for (;;) {
      const found = look();
      if (found !== undefined) return found;
      const left = giveUp - Date.now();
      if (left <= 0) throw new Error(`no such event; there were ${JSON.stringify(events)}`);
      let limit: NodeJS.Timeout | undefined;
      await new Promise<void>((resolve) => {
        wake = resolve;
        limit = setTimeout(resolve, left);
      });
      clearTimeout(limit);
    }
  };
  await until(() => events.find(({ event }) => event === "ready"));
  return {
    response,
    events,
    find: (fits: (data: ServerEvent["data"]) => boolean) =>
      until(() => events.find(({ event, data }) => event === "notebook" && fits(data))?.data),
    leave: () => stop.abort(),
    end: () => until(() => (ended ? true : undefined)),
  };
}

describe("the event stream", () => {
  test("tells of saves with the mark of the page that saved", async () => {
    const { send, address } = await runningServer();
    const stream = await listen(address);
    expect(stream.response.headers.get("content-type")).toBe("text/event-stream; charset=utf-8");
    const headers = { "x-bole-client": "page-1" };
    const { json } = await send("/api/notebooks", {
      method: "POST",
      headers,
      body: { name: "a", document: notebook("one") },
    });
    expect(await stream.find(({ name }) => name === "a")).toEqual({
      name: "a",
      revision: json.revision,
      outside: false,
      client: "page-1",
    });
  });

  test("tells of edits, new files and removals by other programs", async () => {
    const { send, address, folder } = await runningServer();
    await send("/api/notebooks", { method: "POST", body: { name: "a", document: notebook("one") } });
    const stream = await listen(address);
    await writeFile(join(folder, "a.bole.json"), notebookText("by hand"));
    expect(await stream.find(({ outside }) => outside)).toEqual({
      name: "a",
      revision: revisionOf(notebookText("by hand")),
      outside: true,
    });
    await writeFile(join(folder, "b.bole.json"), notebookText("new"));
    await stream.find(({ name, outside }) => name === "b" && outside);
    await rm(join(folder, "a.bole.json"));
    await stream.find(({ name, revision }) => name === "a" && revision === null);
  });

  test("keeps quiet about own saves when the folder is looked at", async () => {
    const { send, address, workplace } = await runningServer();
    const stream = await listen(address);
    let { json } = await send("/api/notebooks", {
      method: "POST",
      body: { name: "a", document: notebook("0") },
    });
    for (let i = 1; i <= 10; i++) {
      const body = { document: notebook(String(i)), basedOn: json.revision };
      ({ json } = await send("/api/notebooks/a", { method: "PUT", body }));
    }
    await workplace.store.scan();
    await stream.find(({ revision }) => revision === json.revision);
    expect(stream.events.filter(({ data }) => data.outside)).toEqual([]);
  });

  test("ends when the server stops, which open pages do not hold up", async () => {
    const { address, stop } = await runningServer();
    const streams = [await listen(address), await listen(address)];
    const start = performance.now();
    await stop();
    expect(performance.now() - start).toBeLessThan(2500);
    await Promise.all(streams.map((stream) => stream.end()));
  });

  test("takes a limited number of listeners and gives places free again", async () => {
    const { address, send } = await runningServer();
    const streams = await Promise.all(Array.from({ length: 64 }, () => listen(address)));
    const refused = await send("/api/events");
    expect([refused.status, refused.json.error]).toEqual([503, expect.stringMatching(/Too many/)]);
    streams[0].leave();
    await vi.waitFor(() => listen(address), { timeout: 5000, interval: 50 });
  });
});

test("a stop waits for the save under way", async () => {
  let begun = () => {};
  const hasBegun = new Promise<void>((resolve) => {
    begun = resolve;
  });
  const { send, stop, folder } = await runningServer({ validate: () => begun() });
  const saving = send("/api/notebooks", { method: "POST", body: { name: "a", document: notebook("one") } });
  await hasBegun;
  await stop();
  expect((await saving).status).toBe(201);
  expect(await readFile(join(folder, "a.bole.json"), "utf8")).toBe(notebookText("one"));
});

test("a connection on which nothing was asked does not hold up the stop", async () => {
  const { port, stop } = await runningServer();
  const socket = connect(port, "127.0.0.1");
  await once(socket, "connect");
  socket.resume();
  const start = performance.now();
  await stop();
  expect(performance.now() - start).toBeLessThan(2500); // the grace for requests under way is 3 s
  socket.destroy();
});
