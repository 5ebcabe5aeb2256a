import { mkdir, readdir, readFile, symlink, writeFile } from "node:fs/promises";
import { Agent, request } from "node:http";
import { connect } from "node:net";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import demo from "../../data/examples/the-lantern-room.json" with { type: "json" };
import { type NotebookDocument, parseNotebook, serialiseNotebook } from "../../src/document/notebook.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { isName, nameOfFile } from "../../src/server/notebookName.ts";
import { cases } from "../howMuch.ts";
import { panelOf } from "../ledger/panels.ts";
import { runningServer } from "./runningServer.ts";
import { notebook, notebookText, temporaryFolder } from "./temporaryFolder.ts";

const runs = cases(10_000, 10);
const seed = Number(process.env.BOLE_SEED ?? 7);
const trapKeys = ["__proto__", "constructor", "prototype", "toString", "hasOwnProperty"];

/** Anything that JSON can say, and what it should better not. */
const anyJson = fc.oneof(
  fc.jsonValue({ maxDepth: 3 }),
  fc.constantFrom<unknown>(null, -0, 1e308, -1e308, "", "\u0000", "\ud800", "x".repeat(300), [], {}, [[]]),
  fc
    .tuple(fc.constantFrom(...trapKeys), fc.jsonValue({ maxDepth: 1 }))
    .map(([key, value]) => JSON.parse(`{"${key}":${JSON.stringify(value)}}`)),
  fc.integer({ min: 1, max: 200 }).map((depth) => JSON.parse("[".repeat(depth) + "]".repeat(depth))),
);

interface Change {
  readonly path: readonly number[];
  readonly what: "replace" | "remove" | "add" | "double";
  readonly key: string;
  readonly value: unknown;
}

const anyChange: fc.Arbitrary<Change> = fc.record({
  path: fc.array(fc.nat(1000), { minLength: 2, maxLength: 8 }),
  what: fc.constantFrom("replace", "replace", "remove", "add", "double"),
  key: fc.oneof(
    fc.constantFrom(...trapKeys, "id", "kind", "inputs", "parameters", "cells"),
    fc.string({ maxLength: 8 }),
  ),
  value: anyJson,
});

/** Changes something somewhere in a value. */
function changed(value: unknown, { path, what, key, value: other }: Change): unknown {
  const [turn, ...rest] = path;
  if (typeof value !== "object" || value === null) return other;
  const entries = Object.entries(value);
  if (what === "add" && rest.length === 0) {
    if (Array.isArray(value)) return [...value, other];
    return JSON.parse(
      `{${[...entries.map(([k, v]) => `${JSON.stringify(k)}:${JSON.stringify(v)}`), `${JSON.stringify(key)}:${JSON.stringify(other)}`].join()}}`,
    );
  }
  if (entries.length === 0) return other;
  const at = turn % entries.length;
  const [name, inner] = entries[at];
  const copy = Array.isArray(value) ? [...value] : { ...value };
  const slots = copy as Record<string, unknown>;
  if (rest.length > 0 && typeof inner === "object" && inner !== null) {
    slots[name] = changed(inner, { path: rest, what, key, value: other });
  } else if (what === "remove") {
    if (Array.isArray(copy)) copy.splice(at, 1);
    else delete slots[name];
  } else if (what === "double" && Array.isArray(copy)) copy.splice(at, 0, inner);
  else slots[name] = other;
  return copy;
}

const cells = (demo as unknown as NotebookDocument).cells;
/** A few cells of the demo, so that links, kinds and settings are real. */
const anyRealNotebook = fc
  .subarray(cells as NotebookDocument["cells"][number][], { minLength: 1, maxLength: 4 })
  .map((some) => ({ format: "bole-notebook", version: 1, title: "Some of the demo", cells: some }));

/** The text of a notebook with some changes in its structure or in its letters. */
const anyText = fc
  .tuple(
    anyRealNotebook,
    fc.array(anyChange, { maxLength: 2 }),
    fc.option(fc.tuple(fc.nat(5000), fc.nat(8), fc.string({ maxLength: 4 })), { freq: 1 }),
  )
  .map(([start, changes, cut]) => {
    const value = changes.reduce<unknown>(changed, structuredClone(start));
    const text = JSON.stringify(value) ?? "";
    if (!cut) return text;
    const [at, length, put] = cut;
    const place = at % (text.length + 1);
    return text.slice(0, place) + put + text.slice(place + length);
  });

test(`${runs} documents with random faults are read or refused in words, and compute without a crash`, async () => {
  let [read, refused, computed] = [0, 0, 0];
  const faults: string[] = [];
  const accepted: NotebookDocument[] = [];
  fc.assert(
    fc.property(anyText, (text) => {
      let document: NotebookDocument;
      try {
        document = parseNotebook(text);
      } catch (error) {
        refused++;
        expect((error as Error).name).toBe("NotebookFormatError");
        expect((error as Error).message).toMatch(/\w/);
        return;
      }
      read++;
      expect(({} as Record<string, unknown>).polluted).toBeUndefined();
      expect(serialiseNotebook(parseNotebook(serialiseNotebook(document)))).toBe(serialiseNotebook(document));
      if (read % 12 === 0) accepted.push(document);
    }),
    { numRuns: runs, seed },
  );
  for (const document of accepted) {
    const graph = new NotebookGraph(registry);
    graph.setCells(document.cells);
    await graph.settled();
    for (const { id } of document.cells) {
      const outcome = graph.outcome(id);
      expect(["ok", "error", "blocked"]).toContain(outcome.status);
      if (outcome.status === "error" && outcome.bug) faults.push(`${id}: ${outcome.message}`);
      computed++;
    }
    graph.dispose();
  }
  console.log(
    `${runs} documents (seed ${seed}): ${refused} refused in words, ${read} read; ${computed} of their cells computed, ${faults.length} with a fault of the program, 0 crashes`,
  );
  expect(read).toBeGreaterThan(runs / 20);
  expect(refused).toBeGreaterThan(runs / 20);
  expect(faults).toEqual([]);
}, 60_000);

describe("requests", () => {
  const piece = fc.constantFrom(
    "notebooks",
    "library",
    "bin",
    "revisions",
    "restore",
    "rename",
    "duplicate",
    "versions",
    "events",
    "session",
    "a",
    "b",
    "linked",
    "..",
    ".",
    "",
    "%2e%2e",
    "%2e%2e%2f%2e%2e%2fetc%2fpasswd",
    "..%5c..%5c",
    "%00",
    "%zz",
    "%c0%ae%c0%ae",
    "a%2f..%2f..%2foutside",
    "C:%5cx",
    ".bole",
    "lock.json",
    "000001-0123456789abcdef",
    "x".repeat(300),
    "%F0%9F%8E%A8",
    "__proto__",
    "constructor",
  );
  const anyPath = fc.oneof(
    {
      weight: 8,
      arbitrary: fc.constantFrom(
        "/api/notebooks",
        "/api/notebooks",
        "/api/notebooks/a",
        "/api/notebooks/b",
        "/api/notebooks/a/rename",
        "/api/notebooks/b/rename",
        "/api/notebooks/a/duplicate",
        "/api/notebooks/a/revisions",
        "/api/notebooks/linked",
        "/api/bin",
        "/api/library",
        "/api/library/a",
        "/api/library/a/versions",
        "/api/ledger",
        "/api/session",
      ),
    },
    { weight: 6, arbitrary: fc.array(piece, { maxLength: 5 }).map((parts) => `/api/${parts.join("/")}`) },
    { weight: 1, arbitrary: fc.array(piece, { maxLength: 4 }).map((parts) => `/${parts.join("/")}`) },
    {
      weight: 1,
      arbitrary: fc.string({ unit: "grapheme-ascii", maxLength: 40 }).map((text) => `/${encodeURI(text)}`),
    },
  );
  const anyMethod = fc.constantFrom(
    "GET",
    "GET",
    "POST",
    "POST",
    "PUT",
    "PUT",
    "DELETE",
    "PATCH",
    "HEAD",
    "OPTIONS",
    "TRACE",
    "PROPFIND",
  );
  const headerText = fc.constantFrom(
    "",
    "x",
    "*",
    "null",
    '"0123456789abcdef"',
    "http://attacker.example",
    "127.0.0.1",
    "a".repeat(5000),
    "application/json",
    "text/plain",
    "gzip",
    "cross-site",
    "100-continue",
  );
  const oddHeaders = fc.dictionary(
    fc.constantFrom(
      "host",
      "origin",
      "sec-fetch-site",
      "x-bole-token",
      "x-bole-client",
      "content-type",
      "content-encoding",
      "if-match",
      "cookie",
      "referer",
      "range",
    ),
    headerText,
    { maxKeys: 2, noNullPrototype: true },
  );
  const anyHeaders = fc.oneof(
    { weight: 4, arbitrary: fc.constant<Record<string, string>>({}) },
    { weight: 1, arbitrary: oddHeaders },
  );
  const anyBody = fc.oneof(
    fc.constant(undefined),
    fc.string({ maxLength: 60 }),
    anyText,
    fc
      .record(
        {
          name: fc.oneof(fc.constantFrom("a", "../x", "CON", ""), fc.string({ maxLength: 20 })),
          to: fc.oneof(fc.constantFrom("b", "..", "/etc/x"), fc.string({ maxLength: 20 })),
          document: fc.oneof(fc.constant(notebook("fuzz")), anyRealNotebook, anyJson),
          basedOn: fc.oneof(fc.constantFrom("0123456789abcdef", 1), anyJson),
          kind: fc.constantFrom("substrate", "../x", ""),
          title: fc.string({ maxLength: 30 }),
          parameters: anyJson,
          note: anyJson,
        },
        { requiredKeys: [] },
      )
      .map((body) => JSON.stringify(body)),
  );
  /** Requests that fit together, more or less: these get past the first doors. */
  const fittingCall = fc
    .tuple(
      fc.constantFrom(
        ["GET", "/api/notebooks"],
        ["POST", "/api/notebooks"],
        ["POST", "/api/notebooks"],
        ["GET", "/api/notebooks/a"],
        ["PUT", "/api/notebooks/a"],
        ["PUT", "/api/notebooks/fuzz"],
        ["DELETE", "/api/notebooks/b"],
        ["POST", "/api/notebooks/fuzz/rename"],
        ["POST", "/api/notebooks/a/duplicate"],
        ["GET", "/api/notebooks/a/revisions"],
        ["POST", "/api/library"],
        ["POST", "/api/library/fuzz/versions"],
        ["DELETE", "/api/library/fuzz"],
        ["POST", "/api/ledger"],
        ["GET", "/api/bin"],
      ),
      fc.record(
        {
          name: fc.constantFrom("a", "b", "fuzz", "../x"),
          to: fc.constantFrom("b", "fuzz", "x y", "/etc/x"),
          document: fc.oneof(fc.constant(notebook("fuzz")), anyRealNotebook, anyText),
          basedOn: fc.constantFrom<unknown>("0123456789abcdef", 1, null),
          kind: fc.constantFrom("substrate", "substrate", "../x"),
          title: fc.constantFrom("fuzz", "Fuzz", "<script>", "x".repeat(300)),
          parameters: fc.oneof(fc.constant({ x: 1 }), anyJson),
          note: fc.constantFrom<unknown>("", "new", 7),
          changes: fc.oneof(fc.constant([{ id: "a", panel: panelOf("fuzz"), basedOn: 0 }]), anyJson),
        },
        { requiredKeys: ["document", "kind", "title", "parameters"] },
      ),
    )
    .map(([[method, path], body]) => ({
      method,
      path,
      headers: {} as Record<string, string>,
      body: method === "GET" || method === "DELETE" ? undefined : JSON.stringify(body),
    }));
  const anyCall = fc.oneof(
    {
      weight: 3,
      arbitrary: fc.record({ method: anyMethod, path: anyPath, headers: anyHeaders, body: anyBody }),
    },
    { weight: 1, arbitrary: fittingCall },
  );

  test(`${runs} random requests: no crash, nothing written outside the folder, every refusal with a reason`, async () => {
    const around = await temporaryFolder();
    const folder = join(around, "notebooks");
    await mkdir(folder);
    await mkdir(join(around, "outside"));
    await writeFile(join(around, "outside", "secret.bole.json"), notebookText("secret"));
    await symlink(join(around, "outside", "secret.bole.json"), join(folder, "linked.bole.json"));
    const { workplace, port, faults, send } = await runningServer({ folder });
    const agent = new Agent({ keepAlive: true, maxSockets: 24 });
    const counts = new Map<number, number>();

    const call = ({
      method,
      path,
      headers,
      body,
    }: typeof anyCall extends fc.Arbitrary<infer T> ? T : never) =>
      new Promise<{ status: number; text: string }>((resolve, reject) => {
        const sent = request(
          {
            agent,
            host: "127.0.0.1",
            port,
            method,
            path,
            headers: {
              "x-bole-token": workplace.token,
              ...(body === undefined
                ? {}
                : { "content-type": "application/json", "content-length": Buffer.byteLength(body) }),
              ...headers,
            },
            timeout: 10_000,
          },
          (response) => {
            if (response.headers["content-type"]?.startsWith("text/event-stream")) {
              response.destroy();
              return resolve({ status: response.statusCode ?? 0, text: "" });
            }
            let text = "";
            response.setEncoding("utf8");
            response.on("data", (chunk) => (text += chunk));
            response.on("end", () => resolve({ status: response.statusCode ?? 0, text }));
            response.on("error", reject);
          },
        );
        sent.on("timeout", () => sent.destroy(new Error(`no answer to ${method} ${path}`)));
        sent.on("error", reject);
        sent.end(body);
      });

    await send("/api/notebooks", { method: "POST", body: { name: "a", document: notebook("a") } });
    const calls = fc.sample(anyCall, { numRuns: runs, seed });
    let at = 0;
    const worker = async () => {
      while (at < calls.length) {
        const given = calls[at++];
        const { status, text } = await call(given);
        counts.set(status, (counts.get(status) ?? 0) + 1);
        const told = `${given.method} ${given.path} ${JSON.stringify(given.headers)} ${given.body?.slice(0, 100)}`;
        expect(status, `${told}: ${text}`).toBeLessThan(500);
        if (status >= 400 && given.method !== "HEAD")
          expect(JSON.parse(text), told).toMatchObject({ error: expect.stringMatching(/\w/) });
      }
    };
    await Promise.all(Array.from({ length: 24 }, worker));
    agent.destroy();

    expect(faults).toEqual([]);
    expect(await readdir(around)).toEqual(["notebooks", "outside"]);
    expect(await readdir(join(around, "outside"))).toEqual(["secret.bole.json"]);
    expect(await readFile(join(around, "outside", "secret.bole.json"), "utf8")).toBe(notebookText("secret"));
    for (const file of await readdir(folder)) {
      if (file === ".bole" || file === "library") continue;
      expect(nameOfFile(file), file).toBeDefined();
      if (file !== "linked.bole.json") parseNotebook(await readFile(join(folder, file), "utf8"));
    }
    for (const file of await readdir(join(folder, "library")))
      expect(isName(file.replace(/\.bole-(item|ledger)\.json$/, "")), file).toBe(true);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
    const summary = [...counts].sort(([a], [b]) => a - b).map(([status, count]) => `${status}: ${count}`);
    console.log(
      `${runs} requests (seed ${seed}): ${summary.join(", ")}; 0 crashes, 0 files outside the folder`,
    );
    expect(
      [...counts].filter(([status]) => status < 300).reduce((sum, [, count]) => sum + count, 0),
    ).toBeGreaterThan(runs / 10);
    // Ten thousand requests write some thousand files, each synced to the disk.
  }, 300_000);

  test("what is not even HTTP is refused with a reason and harms nobody", async () => {
    const { port, send, faults } = await runningServer();
    const talk = (bytes: Uint8Array | string) =>
      new Promise<string>((resolve) => {
        const socket = connect(port, "127.0.0.1", () => socket.end(bytes));
        let text = "";
        socket.setEncoding("latin1").on("data", (chunk) => (text += chunk));
        socket.on("error", () => resolve(text));
        socket.on("close", () => resolve(text));
        socket.setTimeout(5000, () => socket.destroy());
      });
    const junk = fc.sample(fc.uint8Array({ minLength: 1, maxLength: 200 }), { numRuns: 300, seed });
    for (const bytes of junk) {
      const text = await talk(bytes);
      if (text !== "") expect(text).toMatch(/^HTTP\/1\.1 4\d\d [\s\S]*"error":"/);
    }
    for (const [bytes, status] of [
      ["GET / HTTP/1.1\r\nhost: a\r\nhost: b\r\n\r\n", 4],
      ["GET /api/notebooks HTTP/1.1\r\n\r\n", 4],
      [`GET / HTTP/1.1\r\nhost: 127.0.0.1:${port}\r\nx: ${"y".repeat(100_000)}\r\n\r\n`, 431],
      [
        `POST /api/notebooks HTTP/1.1\r\nhost: 127.0.0.1:${port}\r\ncontent-length: 5\r\ntransfer-encoding: chunked\r\n\r\n0\r\n\r\n`,
        4,
      ],
      ["GET ../../etc/passwd HTTP/1.1\r\n\r\n", 4],
    ] as const)
      expect(await talk(bytes)).toMatch(new RegExp(`^HTTP/1\\.1 ${status}`));
    expect((await send("/api/notebooks")).status).toBe(200);
    expect(faults).toEqual([]);
  });
});
