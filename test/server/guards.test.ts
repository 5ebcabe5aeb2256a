import { symlink, writeFile } from "node:fs/promises";
import { connect } from "node:net";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { cases } from "../howMuch.ts";
import { type Call, runningServer } from "./runningServer.ts";
import { notebook, notebookText, temporaryFolder } from "./temporaryFolder.ts";

describe("requests that do not come from a page of this server are refused", () => {
  test.each<[string, (port: number) => Record<string, string>]>([
    ["foreign host", () => ({ host: "attacker.example" })],
    ["foreign host on the same port", (port) => ({ host: `attacker.example:${port}` })],
    ["another port", (port) => ({ host: `127.0.0.1:${port + 1}` })],
    ["host without port", () => ({ host: "127.0.0.1" })],
    ["foreign origin", () => ({ origin: "https://attacker.example" })],
    ["null origin", () => ({ origin: "null" })],
    ["origin of another local port", (port) => ({ origin: `http://127.0.0.1:${port + 1}` })],
    ["origin of another local name", (port) => ({ origin: `http://localhost:${port}` })],
    ["secure origin", (port) => ({ origin: `https://127.0.0.1:${port}` })],
    ["cross-site fetch", () => ({ "sec-fetch-site": "cross-site" })],
    ["same-site fetch (another local port)", () => ({ "sec-fetch-site": "same-site" })],
  ])("%s", async (_, headers) => {
    const { send, port } = await runningServer();
    for (const call of [{}, { method: "POST", body: { document: notebook("x") } }] satisfies Call[]) {
      const reply = await send("/api/notebooks", { ...call, headers: headers(port) });
      expect(reply.status).toBe(403);
      expect(reply.json.error).toMatch(/\w/);
    }
    expect((await send("/api/notebooks")).json.notebooks).toEqual([]);
  });

  test.each<[string, (port: number) => Record<string, string>]>([
    ["the address", (port) => ({ host: `127.0.0.1:${port}`, origin: `http://127.0.0.1:${port}` })],
    ["the local name", (port) => ({ host: `localhost:${port}`, origin: `http://localhost:${port}` })],
    ["a typed address", () => ({ "sec-fetch-site": "none" })],
    ["a fetch of the page", () => ({ "sec-fetch-site": "same-origin" })],
  ])("but not %s", async (_, headers) => {
    const { send, port } = await runningServer();
    expect((await send("/api/notebooks", { headers: headers(port) })).status).toBe(200);
  });

  test.each(["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])("%s without the token", async (method) => {
    const { send } = await runningServer();
    const call = { method, body: { document: notebook("x") } };
    for (const token of ["", "0".repeat(48)]) {
      const reply = await send("/api/notebooks", { ...call, headers: { "x-bole-token": token } });
      expect(reply.status).toBe(403);
      expect(reply.json.reason).toBe("token");
    }
    expect((await send("/api/notebooks")).json.notebooks).toEqual([]);
  });

  test("the token is another one at each start", async () => {
    const tokens = [await runningServer(), await runningServer()].map(({ workplace }) => workplace.token);
    expect(tokens[0]).toMatch(/^[0-9a-f]{48}$/);
    expect(tokens[0]).not.toBe(tokens[1]);
  });

  test("only the loopback address is listened on", async () => {
    const { address } = await runningServer();
    expect(new URL(address).hostname).toBe("127.0.0.1");
  });
});

describe("bad bodies are refused with a reason", () => {
  const post = (raw: string | Buffer, headers: Record<string, string> = {}): Call => ({
    method: "POST",
    raw,
    headers,
  });
  const deep = (levels: number) => `{"document":${"[".repeat(levels)}${"]".repeat(levels)}}`;
  const document = JSON.stringify(notebook("x"));

  test.each<[string, Call, number, RegExp]>([
    ["no JSON", post("{"), 400, /not valid JSON/],
    ["nothing", post(""), 400, /not valid JSON/],
    ["a list", post("[]"), 400, /JSON object/],
    ["null", post("null"), 400, /JSON object/],
    ["no document", post("{}"), 400, /field document/],
    ["a document that is a list", post('{"document":[]}'), 400, /field document/],
    ["a foreign format", post('{"document":{"format":"other"}}'), 422, /not a notebook.*bole-notebook/s],
    ["a later version", post(`{"document":${document.replace('"version":1', '"version":99')}}`), 422, /99/],
    ["a name that is a number", post(`{"name":7,"document":${document}}`), 400, /field name/],
    ["nesting of 65", post(deep(64)), 400, /nested deeper than 64/],
    ["nesting of a million", post(deep(1_000_000)), 400, /nested deeper than 64/],
    ["the key __proto__", post(`{"document":{"__proto__":{"polluted":1}}}`), 400, /"__proto__"/],
    ["the key constructor", post(`{"document":{"cells":[{"constructor":1}]}}`), 400, /"constructor"/],
    ["the key prototype", post(`{"prototype":1}`), 400, /"prototype"/],
    ["an escaped __proto__", post('{"document":{"\\u005f_proto__":1}}'), 400, /"__proto__"/],
    ["text that is not UTF-8", post(Buffer.from([0x7b, 0xff, 0xfe, 0x7d])), 400, /UTF-8/],
    [
      "a form",
      post("a=1", { "content-type": "application/x-www-form-urlencoded" }),
      415,
      /application\/json/,
    ],
    ["plain text", post("{}", { "content-type": "text/plain" }), 415, /application\/json/],
    [
      "another character set",
      post("{}", { "content-type": "application/json; charset=utf-16" }),
      415,
      /json/,
    ],
    ["a compressed body", post("{}", { "content-encoding": "gzip" }), 415, /[Cc]ompressed/],
  ])("%s", async (_, call, status, message) => {
    const { send, faults } = await runningServer();
    const reply = await send("/api/notebooks", call);
    expect([reply.status, reply.json.error]).toEqual([status, expect.stringMatching(message)]);
    expect(faults).toEqual([]);
    expect((await send("/api/notebooks")).json.notebooks).toEqual([]);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  test("more than 20 MB, announced or not", async () => {
    const { send } = await runningServer();
    const raw = Buffer.alloc(20 * 1024 * 1024 + 1, 32);
    expect((await send("/api/notebooks", post(raw))).status).toBe(413);
    expect((await send("/api/notebooks", post(raw, { "transfer-encoding": "chunked" }))).status).toBe(413);
  });

  test("20 MB to the byte is read", async () => {
    const { send } = await runningServer();
    const start = `{"name":"large","document":${document}}`;
    const raw = Buffer.alloc(20 * 1024 * 1024, 32);
    raw.write(start);
    expect((await send("/api/notebooks", post(raw))).status).toBe(201);
  });

  test("a body that is cut short changes nothing and harms nobody", async () => {
    const { send, port, workplace, faults } = await runningServer();
    await new Promise<void>((resolve, reject) => {
      const socket = connect(port, "127.0.0.1", () => {
        socket.write(
          `POST /api/notebooks HTTP/1.1\r\nhost: 127.0.0.1:${port}\r\nx-bole-token: ${workplace.token}\r\n` +
            "content-type: application/json\r\ncontent-length: 1000\r\n\r\n{",
          () => socket.destroy(),
        );
      });
      socket.once("close", () => resolve());
      socket.once("error", reject);
    });
    expect((await send("/api/notebooks")).json.notebooks).toEqual([]);
    expect(faults).toEqual([]);
  });
});

describe("addresses", () => {
  test.each([
    ["GET", "/api", 404],
    ["GET", "/api/", 404],
    ["GET", "/api/other", 404],
    ["GET", "/api/notebooks/a/b", 404],
    ["GET", "/api/notebooks/", 400],
    ["GET", "/api/notebooks/%", 400],
    ["GET", "/api/notebooks/%00", 400],
    ["GET", "/api/notebooks/%ff", 400],
    ["PUT", "/api/notebooks", 405],
    ["DELETE", "/api/notebooks", 405],
    ["GET", "/api/notebooks/a/rename", 405],
    ["GET", "/", 404],
  ])("%s %s gives %i", async (method, path, status) => {
    const { send, faults } = await runningServer();
    expect((await send(path, { method })).status).toBe(status);
    expect(faults).toEqual([]);
  });

  test.each([
    "/api/notebooks/%2e%2e%2fsecret",
    "/api/notebooks/..%5csecret",
    "/api/notebooks/%252e%252e",
    "/api/../secret",
  ])("no path leads out of the folder: %s", async (path) => {
    const folder = await temporaryFolder();
    await writeFile(join(folder, "secret.bole.json"), notebookText("secret"));
    const { send } = await runningServer({ folder: join(folder, "notebooks") });
    const reply = await send(path);
    expect([400, 404]).toContain(reply.status);
    expect(reply.text).not.toContain("bole-notebook");
  });

  test("no name opens anything but a listed notebook", async () => {
    const folder = await temporaryFolder();
    await writeFile(join(folder, "secret.bole.json"), notebookText("secret"));
    const { send, faults } = await runningServer({
      folder: join(folder, "notebooks"),
      examples: { a: notebookText("a") },
    });
    const piece = fc.oneof(
      fc.string({ unit: "binary", maxLength: 12 }),
      fc.constantFrom("..", "/", "\\", ".bole", "a", "~"),
    );
    await fc.assert(
      fc.asyncProperty(fc.array(piece, { minLength: 1, maxLength: 5 }), async (pieces) => {
        let part: string;
        try {
          part = encodeURIComponent(pieces.join(""));
        } catch {
          return; // a lone surrogate cannot be sent
        }
        const reply = await send(`/api/notebooks/${part}`);
        if (reply.status === 200) expect(reply.json.name.toLowerCase()).toBe("a");
        else expect([400, 404]).toContain(reply.status);
      }),
      { numRuns: cases(300) },
    );
    expect(faults).toEqual([]);
  });

  test("a link in the folder is not followed", async () => {
    const folder = await temporaryFolder();
    await writeFile(join(folder, "outside.json"), notebookText("secret"));
    const server = await runningServer({ folder: join(folder, "notebooks") });
    await symlink(join(folder, "outside.json"), join(server.folder, "link.bole.json"));
    expect((await server.send("/api/notebooks")).json.notebooks).toEqual([]);
    const put = { method: "PUT", body: { document: notebook("mine"), basedOn: "0" } };
    for (const call of [{}, put, { method: "DELETE" }]) {
      const reply = await server.send("/api/notebooks/link", call);
      expect(reply.status).toBe(403);
      expect(reply.json.error).toMatch(/link/);
    }
    const create = { method: "POST", body: { name: "link", document: notebook("mine") } };
    expect((await server.send("/api/notebooks", create)).status).toBe(409);
  });
});

test("answers tell the browser to guess nothing, keep nothing and show nothing as a page", async () => {
  const { send } = await runningServer();
  const { headers } = await send("/api/notebooks");
  expect(headers).toMatchObject({
    "content-type": "application/json; charset=utf-8",
    "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
  });
  expect(headers["access-control-allow-origin"]).toBeUndefined();
});
