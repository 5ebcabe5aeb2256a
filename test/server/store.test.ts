import { mkdir, readdir, readFile, rm, symlink, utimes, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { checkNotebook, serialiseNotebook } from "../../src/document/notebook.ts";
import type { NotebookChange } from "../../src/document/served.ts";
import { prepareFolder } from "../../src/server/folder.ts";
import { keptRevisions, revisionOf } from "../../src/server/revisions.ts";
import { NotebookStore } from "../../src/server/store.ts";
import { notebook, temporaryFolder, notebookText as text } from "./temporaryFolder.ts";

async function storeIn(folder: string, examples: Record<string, string> = {}) {
  const changes: NotebookChange[] = [];
  const places = await prepareFolder(folder);
  const store = await NotebookStore.open({
    places,
    examples,
    onChange: (change) => changes.push(change),
  });
  return { store, places, changes };
}

const refused = (status: number, message: RegExp) =>
  expect.objectContaining({ status, message: expect.stringMatching(message) });

describe("first start", () => {
  test("copies the examples in, once", async () => {
    const folder = join(await temporaryFolder(), "new", "notebooks");
    const examples = { lantern: text("Lantern"), other: text("Other") };
    const first = await storeIn(folder, examples);
    expect((await first.store.list()).map(({ name, title }) => [name, title])).toEqual([
      ["lantern", "Lantern"],
      ["other", "Other"],
    ]);
    await first.store.remove("other");
    const second = await storeIn(folder, { ...examples, third: text("Third") });
    expect((await second.store.list()).map(({ name }) => name)).toEqual(["lantern", "third"]);
  });

  test("never replaces a notebook of the same name", async () => {
    const folder = await temporaryFolder();
    await writeFile(join(folder, "lantern.bole.json"), text("mine"));
    const { store } = await storeIn(folder, { lantern: text("Lantern") });
    expect((await store.open("lantern")).text).toBe(text("mine"));
  });

  test("refuses a hidden folder that is a link", async () => {
    const folder = await temporaryFolder();
    await mkdir(join(folder, "elsewhere"));
    await mkdir(join(folder, "notebooks"));
    await symlink(join(folder, "elsewhere"), join(folder, "notebooks", ".bole"));
    await expect(storeIn(join(folder, "notebooks"))).rejects.toThrow(/link or a file/);
  });

  test("refuses a folder that is a file", async () => {
    const folder = await temporaryFolder();
    await writeFile(join(folder, "file"), "");
    await expect(storeIn(join(folder, "file"))).rejects.toThrow(/cannot be made.*--folder/);
  });
});

describe("saving", () => {
  test("on the revision that was read gives the next revision", async () => {
    const { store, places } = await storeIn(await temporaryFolder(), { a: text("one") });
    const opened = await store.open("a");
    const saved = await store.save("a", text("two"), opened.revision);
    expect(saved.revision).toBe(revisionOf(text("two")));
    expect(await readFile(join(places.root, "a.bole.json"), "utf8")).toBe(text("two"));
    expect((await store.save("a", text("three"), saved.revision)).text).toBe(text("three"));
  });

  test("on an older revision is a conflict and overwrites nothing", async () => {
    const { store } = await storeIn(await temporaryFolder(), { a: text("one") });
    const { revision } = await store.open("a");
    await store.save("a", text("two"), revision);
    await expect(store.save("a", text("three"), revision)).rejects.toEqual(
      expect.objectContaining({
        status: 409,
        fields: expect.objectContaining({ text: text("two"), revision: revisionOf(text("two")) }),
      }),
    );
    expect((await store.open("a")).text).toBe(text("two"));
  });

  test("of two saves at once on one revision only one is written", async () => {
    const { store } = await storeIn(await temporaryFolder(), { a: text("one") });
    const { revision } = await store.open("a");
    const outcomes = await Promise.allSettled([
      store.save("a", text("two"), revision),
      store.save("a", text("three"), revision),
    ]);
    expect(outcomes.map(({ status }) => status)).toEqual(["fulfilled", "rejected"]);
    expect((await store.open("a")).text).toBe(text("two"));
  });

  test("of how a notebook is looked at replaces the file and keeps no revision", async () => {
    const { store, places } = await storeIn(await temporaryFolder(), { a: text("one") });
    const worked = await store.save("a", text("two"), (await store.open("a")).revision);
    const count = async () => (await store.revisions("a")).length;
    const before = await count();
    const looked = { ...notebook("two"), version: 2, view: { folded: ["x"], sight: [] } };
    const lookedText = serialiseNotebook(checkNotebook(looked));
    await store.save("a", lookedText, worked.revision);
    expect(await readFile(join(places.root, "a.bole.json"), "utf8")).toBe(lookedText);
    expect(await count()).toBe(before + 1); // the form of version 1 was not the same text
    const folded = lookedText.replace('"x"', '"y"');
    await store.save("a", folded, revisionOf(lookedText));
    expect(await count()).toBe(before + 1);
    await store.save("a", folded.replace("two", "three"), revisionOf(folded));
    expect(await count()).toBe(before + 2);
  });

  test("after an edit by another program is a conflict, and the edit stays among the revisions", async () => {
    const { store, places } = await storeIn(await temporaryFolder(), { a: text("one") });
    const { revision } = await store.open("a");
    await writeFile(join(places.root, "a.bole.json"), text("by hand"));
    await expect(store.save("a", text("two"), revision)).rejects.toEqual(refused(409, /changed elsewhere/));
    await store.save("a", text("two"), revisionOf(text("by hand")));
    const texts = await Promise.all(
      (await store.revisions("a")).map(async ({ id }) => (await store.readRevision("a", id)).text),
    );
    expect(texts).toEqual([text("two"), text("by hand"), text("one")]);
  });

  test("the same text again is no conflict: a request may be repeated", async () => {
    const { store } = await storeIn(await temporaryFolder(), { a: text("one") });
    const { revision } = await store.open("a");
    const first = await store.save("a", text("two"), revision);
    expect(await store.save("a", text("two"), revision)).toEqual(first);
  });

  test.each([
    ["no notebook", "{}", 422],
    ["no JSON", "{", 400],
  ])("refuses %s and leaves the file", async (_, bad, status) => {
    const { store } = await storeIn(await temporaryFolder(), { a: text("one") });
    const { revision } = await store.open("a");
    await expect(store.save("a", bad, revision)).rejects.toEqual(refused(status, /./));
    expect((await store.open("a")).text).toBe(text("one"));
  });

  test("refuses a notebook whose file is gone, and a save that names no revision", async () => {
    const { store, places } = await storeIn(await temporaryFolder(), { a: text("one") });
    const { revision } = await store.open("a");
    await expect(store.save("a", text("two"), undefined)).rejects.toEqual(refused(400, /basedOn/));
    await rm(join(places.root, "a.bole.json"));
    await expect(store.save("a", text("two"), revision)).rejects.toEqual(refused(404, /renamed or moved/));
  });
});

describe("creating, renaming, duplicating, deleting", () => {
  test("a name is made from the title and made free", async () => {
    const { store } = await storeIn(await temporaryFolder());
    const names = [];
    for (let i = 0; i < 3; i++) names.push((await store.create(undefined, text("Sofa: Poppy Red!"))).name);
    expect(names).toEqual(["sofa-poppy-red", "sofa-poppy-red-2", "sofa-poppy-red-3"]);
    expect((await store.create(undefined, text("../../.."))).name).toBe("notebook");
    expect((await store.create(undefined, text(""))).name).toBe("notebook-2");
  });

  test("a taken name is refused and keeps its notebook and its revisions", async () => {
    const { store } = await storeIn(await temporaryFolder(), { a: text("one"), b: text("two") });
    await expect(store.create("a", text("new"))).rejects.toEqual(refused(409, /already/));
    await expect(store.rename("b", "a")).rejects.toEqual(refused(409, /already/));
    await expect(store.duplicate("b", "a")).rejects.toEqual(refused(409, /already/));
    expect((await store.open("a")).text).toBe(text("one"));
    expect(await store.revisions("a")).toHaveLength(1);
  });

  test("renaming takes the revisions along", async () => {
    const { store, changes } = await storeIn(await temporaryFolder(), { a: text("one") });
    await store.save("a", text("two"), (await store.open("a")).revision);
    changes.length = 0;
    await store.rename("a", "new name", "page-1");
    expect((await store.list()).map(({ name }) => name)).toEqual(["new name"]);
    expect(await store.revisions("new name")).toHaveLength(2);
    expect(changes).toEqual([
      { name: "a", revision: null, outside: false, client: "page-1" },
      { name: "new name", revision: revisionOf(text("two")), outside: false, client: "page-1" },
    ]);
  });

  test("capital letters alone can be changed", async () => {
    const { store } = await storeIn(await temporaryFolder(), { sofa: text("one") });
    expect((await store.rename("sofa", "Sofa")).name).toBe("Sofa");
    expect((await store.list()).map(({ name }) => name)).toEqual(["Sofa"]);
    expect(await store.revisions("Sofa")).toHaveLength(1);
  });

  test("a duplicate has the text and its own revisions", async () => {
    const { store } = await storeIn(await temporaryFolder(), { a: text("one") });
    await store.save("a", text("two"), (await store.open("a")).revision);
    expect((await store.duplicate("a", undefined)).name).toBe("a-2");
    expect((await store.open("a-2")).text).toBe(text("two"));
    expect(await store.revisions("a-2")).toHaveLength(1);
  });

  test("deleting moves file and revisions to the bin; a new notebook of the name starts afresh", async () => {
    const { store, places } = await storeIn(await temporaryFolder(), { a: text("one") });
    const { movedTo } = await store.remove("a");
    expect(await readFile(movedTo, "utf8")).toBe(text("one"));
    await expect(store.open("a")).rejects.toEqual(refused(404, /no notebook "a"/));
    expect(await readdir(places.bin)).toEqual([
      expect.stringMatching(/-a\.bole\.json$/),
      expect.stringMatching(/-a\.revisions$/),
    ]);
    await store.create("a", text("new"));
    expect(await store.revisions("a")).toHaveLength(1);
  });

  test("revisions of a notebook that was taken away by hand are not given to the next of its name", async () => {
    const { store, places } = await storeIn(await temporaryFolder(), { a: text("one") });
    await rm(join(places.root, "a.bole.json"));
    await store.create("a", text("new"));
    expect((await store.revisions("a")).map(({ revision }) => revision)).toEqual([revisionOf(text("new"))]);
    expect(await readdir(places.bin)).toEqual([expect.stringMatching(/-a\.revisions$/)]);
  });
});

describe("revisions", () => {
  test("the last 50 are kept, newest first", async () => {
    const { store } = await storeIn(await temporaryFolder(), { a: text("0") });
    let { revision } = await store.open("a");
    for (let i = 1; i <= keptRevisions + 5; i++)
      revision = (await store.save("a", text(String(i)), revision)).revision;
    const kept = await store.revisions("a");
    expect(kept).toHaveLength(50);
    expect(kept[0].revision).toBe(revision);
    expect((await store.readRevision("a", kept[49].id)).text).toBe(text("6"));
  });

  test("one can be restored, and the state before it stays", async () => {
    const { store } = await storeIn(await temporaryFolder(), { a: text("one") });
    const saved = await store.save("a", text("two"), (await store.open("a")).revision);
    const first = (await store.revisions("a")).at(-1)!;
    await expect(store.restore("a", first.id, "0".repeat(16))).rejects.toEqual(
      refused(409, /changed elsewhere/),
    );
    expect((await store.restore("a", first.id, saved.revision)).text).toBe(text("one"));
    expect((await store.revisions("a")).map(({ revision }) => revision)).toEqual(
      ["one", "two", "one"].map((title) => revisionOf(text(title))),
    );
  });

  test.each(["", "..", "000001-zzzz", "000009-0123456789abcdef", "../../../a.bole"])(
    "there is no revision %j",
    async (id) => {
      const { store } = await storeIn(await temporaryFolder(), { a: text("one") });
      await expect(store.readRevision("a", id)).rejects.toEqual(refused(404, /no revision/));
    },
  );
});

describe("files by other programs", () => {
  test("odd names and other files are not listed", async () => {
    const folder = await temporaryFolder();
    for (const name of [
      ".hidden.bole.json",
      "a.b.bole.json",
      "con.bole.json",
      "readme.md",
      "plain.json",
      ".bole.json",
    ]) {
      await writeFile(join(folder, name), text("x"));
    }
    await mkdir(join(folder, "folder.bole.json"));
    const { store } = await storeIn(folder);
    expect(await store.list()).toEqual([]);
  });

  test("a file that is no notebook is listed with the reason", async () => {
    const folder = await temporaryFolder();
    await writeFile(join(folder, "broken.bole.json"), "{");
    await writeFile(join(folder, "bytes.bole.json"), Buffer.from([0xff, 0xfe]));
    await writeFile(join(folder, "later.bole.json"), text("Later").replace('"version": 1', '"version": 99'));
    const { store } = await storeIn(folder);
    expect((await store.list()).map(({ name, title, problem }) => [name, title, problem])).toEqual([
      ["broken", "broken", expect.stringMatching(/not valid JSON/)],
      ["bytes", "bytes", expect.stringMatching(/not UTF-8/)],
      ["later", "Later", expect.stringMatching(/99/)],
    ]);
    expect((await store.open("broken")).text).toBe("{");
  });

  test("changes by others are told once, own changes are not told as others'", async () => {
    const { store, places, changes } = await storeIn(await temporaryFolder(), {
      a: text("one"),
      b: text("two"),
    });
    changes.length = 0;
    await store.scan();
    expect(changes).toEqual([]);
    await writeFile(join(places.root, "a.bole.json"), text("by hand"));
    await utimes(join(places.root, "a.bole.json"), new Date(), new Date(Date.now() + 5000));
    await rm(join(places.root, "b.bole.json"));
    await writeFile(join(places.root, "c.bole.json"), text("new"));
    await store.scan();
    await store.scan();
    expect(changes).toEqual([
      { name: "b", revision: null, outside: true },
      { name: "a", revision: revisionOf(text("by hand")), outside: true },
      { name: "c", revision: revisionOf(text("new")), outside: true },
    ]);
    changes.length = 0;
    await store.save("c", text("newer"), revisionOf(text("new")), "page-1");
    await store.scan();
    expect(changes).toEqual([
      { name: "c", revision: revisionOf(text("newer")), outside: false, client: "page-1" },
    ]);
  });
});
