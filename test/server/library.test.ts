import { readdir, readFile, rm, symlink, writeFile } from "node:fs/promises";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, test, vi } from "vitest";
import { checkLibraryItem, type LibraryItem } from "../../src/document/libraryItem.ts";
import { runningServer } from "./runningServer.ts";
import { notebook, temporaryFolder } from "./temporaryFolder.ts";

const rack = (parameters: Record<string, unknown> = { set: "none" }, more: Record<string, unknown> = {}) => ({
  method: "POST",
  body: { kind: "pigment-set", title: "My rack", parameters, ...more },
});
const itemFile = (folder: string, name: string) => join(folder, "library", `${name}.bole-item.json`);
const itemText = (version = 1) =>
  JSON.stringify({
    format: "bole-library-item",
    version: 1,
    kind: "substrate",
    versions: [
      { number: version, saved: "2026-01-01T00:00:00.000Z", title: "By hand", note: "", parameters: {} },
    ],
  });

describe("the library", () => {
  test("keeps a cell as a file beside the notebooks, and every version of it", async () => {
    const { send, folder } = await runningServer();
    expect((await send("/api/library", rack())).json).toEqual({ name: "my-rack", version: 1 });
    const next = rack({ set: "none", leftOut: ["a"] }, { basedOn: 1, note: "one less" });
    expect((await send("/api/library/my-rack/versions", next)).json).toEqual({ name: "my-rack", version: 2 });
    expect((await send("/api/library")).json.items).toEqual([
      {
        name: "my-rack",
        kind: "pigment-set",
        title: "My rack",
        latest: 2,
        saved: expect.stringMatching(/^20.*Z$/),
        versions: 2,
      },
    ]);
    const { item } = (await send("/api/library/my-rack")).json as { item: LibraryItem };
    expect(item.versions.map(({ number, note, parameters }) => [number, note, parameters])).toEqual([
      [1, "", { set: "none" }],
      [2, "one less", { set: "none", leftOut: ["a"] }],
    ]);
    expect(checkLibraryItem(JSON.parse(await readFile(itemFile(folder, "my-rack"), "utf8")))).toEqual(item);
  });

  test("the same settings again are no new version; a version on an older one is a conflict", async () => {
    const { send } = await runningServer();
    await send("/api/library", rack({ x: 1 }));
    const again = rack({ x: 2 }, { basedOn: 1 });
    for (let k = 0; k < 2; k++)
      expect((await send("/api/library/my-rack/versions", again)).json).toEqual({
        name: "my-rack",
        version: 2,
      });
    const late = await send("/api/library/my-rack/versions", rack({ x: 3 }, { basedOn: 1 }));
    expect([late.status, late.json]).toEqual([
      409,
      { error: expect.stringMatching(/version 2 by now/), latest: 2 },
    ]);
    const kind = { ...rack({ x: 3 }, { basedOn: 2 }) };
    kind.body.kind = "substrate";
    expect((await send("/api/library/my-rack/versions", kind)).status).toBe(409);
  });

  test("of many who keep a version at once exactly one is the next", async () => {
    const { send } = await runningServer();
    await send("/api/library", rack({ x: 0 }));
    const replies = await Promise.all(
      Array.from({ length: 10 }, (_, x) =>
        send("/api/library/my-rack/versions", rack({ x: x + 1 }, { basedOn: 1 })),
      ),
    );
    expect(replies.map(({ status }) => status).sort()).toEqual([200, ...Array(9).fill(409)]);
    expect((await send("/api/library/my-rack")).json.item.versions).toHaveLength(2);
  });

  test("two cells of one title are two items", async () => {
    const { send } = await runningServer();
    await send("/api/library", rack());
    expect((await send("/api/library", rack())).json.name).toBe("my-rack-2");
    const taken = await send("/api/library", rack({}, { name: "my-rack" }));
    expect([taken.status, taken.json.taken]).toEqual([409, "my-rack"]);
  });

  test("a deleted item is in the bin, and nothing of a notebook changes", async () => {
    const { send, folder } = await runningServer();
    await send("/api/library", rack());
    const { json } = await send("/api/library/my-rack", { method: "DELETE" });
    expect(JSON.parse(await readFile(json.movedTo, "utf8")).versions).toHaveLength(1);
    expect((await send("/api/library")).json.items).toEqual([]);
    expect((await send("/api/library/my-rack")).status).toBe(404);
    expect(await readdir(join(folder, "library"))).toEqual([]);
    expect((await send("/api/bin")).json.notebooks).toEqual([]);
  });

  test("files by other programs are listed and told of; broken and linked ones do no harm", async () => {
    const outside = await temporaryFolder();
    await writeFile(join(outside, "secret.json"), itemText());
    const { send, folder, workplace } = await runningServer();
    await writeFile(itemFile(folder, "by-hand"), itemText(3));
    await writeFile(itemFile(folder, "broken"), itemText().slice(0, 40));
    await symlink(join(outside, "secret.json"), itemFile(folder, "linked"));
    await writeFile(join(folder, "library", "README.txt"), "hello");
    await workplace.library.scan();
    expect(
      (await send("/api/library")).json.items.map(
        (entry: { name: string; latest: number; problem?: string }) => [
          entry.name,
          entry.latest,
          entry.problem,
        ],
      ),
    ).toEqual([
      ["broken", 0, expect.stringMatching(/not valid JSON/)],
      ["by-hand", 3, undefined],
    ]);
    expect((await send("/api/library/linked")).status).toBe(403);
    expect((await send("/api/library/broken")).status).toBe(400);
    await rm(itemFile(folder, "by-hand"));
    await vi.waitFor(async () => expect((await send("/api/library")).json.items).toHaveLength(1));
  });

  test.each<[string, Record<string, unknown>, RegExp]>([
    ["no kind", { kind: undefined }, /field kind/],
    ["a kind that is none", { kind: "Not A Kind" }, /kind/],
    ["no settings", { parameters: undefined }, /field parameters/],
    ["settings that are a list", { parameters: [] }, /field parameters/],
    ["no title", { title: undefined }, /field title/],
    ["a title without end", { title: "x".repeat(201) }, /200 characters/],
    ["a note without end", { note: "x".repeat(501) }, /500 characters/],
    ["a name that is a path", { name: "../up" }, /cannot be a notebook name/],
    [
      "settings that reach deep",
      { parameters: JSON.parse(`${'{"a":'.repeat(40)}1${"}".repeat(40)}`) },
      /nested/,
    ],
  ])("%s is refused in words and nothing is written", async (_, more, message) => {
    const { send, folder } = await runningServer();
    const reply = await send("/api/library", rack({ x: 1 }, more));
    expect(reply.status).toBeGreaterThanOrEqual(400);
    expect(reply.status).toBeLessThan(500);
    expect(reply.json.error).toMatch(message);
    expect(await readdir(join(folder, "library"))).toEqual([]);
  });

  test("any text is read as an item or refused in words", () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 4 }), (value) => {
        try {
          checkLibraryItem(value);
        } catch (error) {
          expect((error as Error).name).toBe("NotebookFormatError");
        }
      }),
    );
  });
});

describe("the bin", () => {
  test("lists what was deleted, last first, and gives it back with its revisions", async () => {
    const { send } = await runningServer();
    let revision = (
      await send("/api/notebooks", { method: "POST", body: { name: "a", document: notebook("1") } })
    ).json.revision;
    const body = { document: notebook("2"), basedOn: revision };
    revision = (await send("/api/notebooks/a", { method: "PUT", body })).json.revision;
    await send("/api/notebooks", { method: "POST", body: { name: "b", document: notebook("b") } });
    for (const name of ["a", "b"]) await send(`/api/notebooks/${name}`, { method: "DELETE" });
    const { notebooks } = (await send("/api/bin")).json;
    expect(notebooks.map(({ name }: { name: string }) => name).sort()).toEqual(["a", "b"]);
    const inBin = notebooks.find(({ name }: { name: string }) => name === "a");
    expect(inBin).toEqual({
      id: expect.any(String),
      name: "a",
      deleted: expect.stringMatching(/^\d{4}-.*Z$/),
      size: expect.any(Number),
    });
    expect(Math.abs(Date.parse(inBin.deleted) - Date.now())).toBeLessThan(60_000);
    const back = await send(`/api/bin/${inBin.id}/restore`, { method: "POST", body: {} });
    expect([back.status, back.json.name, back.json.revision]).toEqual([201, "a", revision]);
    expect((await send("/api/notebooks/a/revisions")).json.revisions).toHaveLength(2);
    expect((await send(`/api/bin/${inBin.id}/restore`, { method: "POST", body: {} })).status).toBe(404);
  });

  test("what comes back under a name that was taken meanwhile gets a free one", async () => {
    const { send } = await runningServer();
    const create = (title: string) =>
      send("/api/notebooks", { method: "POST", body: { name: "a", document: notebook(title) } });
    await create("old");
    await send("/api/notebooks/a", { method: "DELETE" });
    await create("new");
    const [{ id }] = (await send("/api/bin")).json.notebooks;
    expect((await send(`/api/bin/${id}/restore`, { method: "POST", body: {} })).json.name).toBe("a-2");
    expect((await send("/api/notebooks/a")).json.text).toContain('"new"');
    expect((await send("/api/notebooks/a-2")).json.text).toContain('"old"');
  });

  test.each([
    "..",
    "../../a",
    "2026-01-01T00-00-00.000Z-abc-..%2Fx",
    "%00",
    "a",
    "2026-01-01T00-00-00.000Z-abc-a",
  ])("there is no %s in the bin", async (id) => {
    const { send } = await runningServer();
    const { status, json } = await send(`/api/bin/${id}/restore`, { method: "POST", body: {} });
    expect([status, json.error]).toEqual([404, expect.stringMatching(/\w/)]);
  });
});

describe("a notebook sent as the text of its file", () => {
  const text = (title: string) => `${JSON.stringify(notebook(title), null, 1)}\n`;
  const put = (raw: string, revision: string) => ({
    method: "PUT",
    raw,
    headers: { "if-match": revision },
  });

  test("is saved on the revision in If-Match, as it is", async () => {
    const { send, folder } = await runningServer();
    const { revision } = (
      await send("/api/notebooks", { method: "POST", body: { name: "a", document: notebook("1") } })
    ).json;
    const reply = await send("/api/notebooks/a", put(text("2"), `"${revision}"`));
    expect(reply.status).toBe(200);
    expect(await readFile(join(folder, "a.bole.json"), "utf8")).toBe(text("2"));
    const late = await send("/api/notebooks/a", put(text("3"), `"${revision}"`));
    expect([late.status, late.json.revision, late.json.text]).toEqual([409, reply.json.revision, text("2")]);
  });

  test.each<[string, string, string, number, RegExp]>([
    ["no revision", "{}", "*", 400, /If-Match/],
    ["a revision that is none", "{}", '"../x"', 400, /If-Match/],
    ["no JSON", "{", '"00"', 400, /not valid JSON/],
    ["no notebook", "{}", '"00"', 422, /not a notebook/],
    ["the key __proto__", '{"__proto__":{"x":1}}', '"00"', 400, /__proto__/],
    ["nesting without end", "[".repeat(100_000), '"00"', 400, /nested deeper/],
  ])("%s is refused and changes nothing", async (_, raw, match, status, message) => {
    const { send, folder } = await runningServer();
    await send("/api/notebooks", { method: "POST", body: { name: "a", document: notebook("1") } });
    const reply = await send("/api/notebooks/a", put(raw, match));
    expect([reply.status, reply.json.error]).toEqual([status, expect.stringMatching(message)]);
    expect(await readFile(join(folder, "a.bole.json"), "utf8")).toBe(text("1"));
    expect(await readdir(join(folder, ".bole", "temporary"))).toEqual([]);
    expect((await send("/api/notebooks/a/revisions")).json.revisions).toHaveLength(1);
  });
});
