import { execFileSync } from "node:child_process";
import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, onTestFinished, test, vi } from "vitest";
import { prepareFolder } from "../../src/server/folder.ts";
import { isName } from "../../src/server/notebookName.ts";
import { revisionOf } from "../../src/server/revisions.ts";
import { openWorkplace } from "../../src/server/server.ts";
import { NotebookStore } from "../../src/server/store.ts";
import { cases } from "../howMuch.ts";
import { disk, systemError } from "./faultyDisk.ts";
import { runningServer } from "./runningServer.ts";
import { notebook, notebookText, temporaryFolder } from "./temporaryFolder.ts";

vi.mock("node:fs/promises", async (original) => {
  const { faultyDisk } = await import("./faultyDisk.ts");
  return faultyDisk(await original());
});

const storeIn = async (folder: string) =>
  NotebookStore.open({ places: await prepareFolder(folder), examples: {} });
const refused = (status: number, message: RegExp) =>
  expect.objectContaining({ status, message: expect.stringMatching(message) });

describe("a folder that is taken away while it is served", () => {
  test.each(["put back", "made anew", "emptied"])(
    "%s: told in words meanwhile, and all works again",
    async (how) => {
      const { folder, send, faults, workplace } = await runningServer();
      const made = await send("/api/notebooks", {
        method: "POST",
        body: { name: "a", document: notebook("1") },
      });
      expect(made.status).toBe(201);
      const put = (title: string, basedOn: string) =>
        send("/api/notebooks/a", { method: "PUT", body: { document: notebook(title), basedOn } });
      if (how === "emptied") rmSync(join(folder, ".bole"), { recursive: true });
      else {
        renameSync(folder, `${folder}-away`);
        onTestFinished(() => rmSync(`${folder}-away`, { recursive: true, force: true }));
        for (const reply of [
          await send("/api/notebooks"),
          await send("/api/notebooks/a"),
          await send("/api/notebooks/a/revisions"),
          await send("/api/bin"),
          await send("/api/library"),
          await put("2", made.json.revision),
          await send("/api/notebooks", { method: "POST", body: { name: "b", document: notebook("1") } }),
          await send("/api/notebooks/a", { method: "DELETE" }),
        ])
          expect([reply.status, reply.json]).toEqual([
            503,
            { error: expect.stringMatching(/is not there.*Put it back/), reason: "folder-gone" },
          ]);
        await expect(workplace.store.scan()).rejects.toEqual(refused(503, /not there/));
        expect(existsSync(folder)).toBe(false); // nothing is made where a drive may be away
        if (how === "put back") renameSync(`${folder}-away`, folder);
        else mkdirSync(folder);
      }
      if (how === "made anew") {
        expect((await send("/api/notebooks")).json.notebooks).toEqual([]);
        expect((await put("2", made.json.revision)).status).toBe(404);
      } else {
        expect((await put("2", made.json.revision)).status).toBe(200);
        expect(readFileSync(join(folder, "a.bole.json"), "utf8")).toBe(notebookText("2"));
      }
      const next = await send("/api/notebooks", {
        method: "POST",
        body: { name: "b", document: notebook("3") },
      });
      expect(next.status).toBe(201);
      expect((await send("/api/notebooks/b/revisions")).json.revisions).toHaveLength(1);
      expect((await send("/api/notebooks/b", { method: "DELETE" })).status).toBe(200);
      const kept = await send("/api/library", {
        method: "POST",
        body: { kind: "note", title: "t", parameters: {} },
      });
      expect(kept.status).toBe(201);
      expect(faults).toEqual([]);
      // The lock went with the folder: a second server must not get it.
      await expect(openWorkplace({ folder, examples: {} })).rejects.toThrow(/already in use/);
    },
  );

  test("while it was away another server took it: saves are refused, reading goes on", async () => {
    const { folder, send } = await runningServer();
    const made = await send("/api/notebooks", {
      method: "POST",
      body: { name: "a", document: notebook("1") },
    });
    rmSync(join(folder, ".bole"), { recursive: true });
    const other = await openWorkplace({ folder, examples: {} });
    const put = () =>
      send("/api/notebooks/a", {
        method: "PUT",
        body: { document: notebook("2"), basedOn: made.json.revision },
      });
    const reply = await put();
    expect([reply.status, reply.json]).toEqual([
      503,
      {
        error: expect.stringMatching(/already in use.*Nothing was changed/),
        reason: "folder-taken",
        done: false,
      },
    ]);
    expect(readFileSync(join(folder, "a.bole.json"), "utf8")).toBe(notebookText("1"));
    expect((await send("/api/notebooks/a")).status).toBe(200);
    await other.close();
    expect((await put()).status).toBe(200);
  });
});

describe("a server that starts on a full disk", () => {
  async function readAndLaterSave(folder: string, makeRoom: () => void): Promise<void> {
    const { send, workplace, stop } = await runningServer({
      folder,
      examples: { fresh: notebookText("fresh") },
    });
    expect(workplace.isOnlyRead).toBe(true);
    expect((await send("/api/notebooks")).json.notebooks.map(({ name }: { name: string }) => name)).toEqual([
      "a",
    ]);
    const { text, revision } = (await send("/api/notebooks/a")).json;
    expect(text).toBe(notebookText("1"));
    expect((await send("/api/notebooks/a/revisions")).json.revisions).toHaveLength(1);
    const put = () =>
      send("/api/notebooks/a", { method: "PUT", body: { document: notebook("2"), basedOn: revision } });
    const reply = await put();
    expect([reply.status, reply.json]).toEqual([
      507,
      { error: expect.stringMatching(/disk is full.*Nothing was changed/), reason: "disk-full", done: false },
    ]);
    expect(readFileSync(join(folder, "a.bole.json"), "utf8")).toBe(notebookText("1"));
    makeRoom();
    expect((await put()).status).toBe(200);
    await expect(openWorkplace({ folder, examples: {} })).rejects.toThrow(/already in use/);
    await stop();
  }

  test("simulated: notebooks can be read, and are saved once there is room", async () => {
    const folder = await temporaryFolder();
    await (await storeIn(folder)).create("a", notebookText("1"));
    rmSync(join(folder, ".bole/aside"), { recursive: true });
    onTestFinished(() => void (disk.before = undefined));
    disk.before = (operation, path) => {
      if (operation === "writeFile" || (operation === "mkdir" && !existsSync(path)))
        throw systemError("ENOSPC");
    };
    await readAndLaterSave(folder, () => (disk.before = undefined));
  });

  test("a real one, with the lock of a server that was killed", async ({ skip }) => {
    const folder = await temporaryFolder();
    try {
      execFileSync("mount", ["-t", "tmpfs", "-o", "size=256k", "tmpfs", folder], { stdio: "ignore" });
    } catch {
      skip("this account may not mount a small disk; only the simulated one is tested");
    }
    onTestFinished(() => void execFileSync("umount", ["-l", folder]));
    await (await storeIn(folder)).create("a", notebookText("1"));
    writeFileSync(
      join(folder, ".bole/lock.json"),
      JSON.stringify({ key: "k", pid: 2 ** 22 + 1, host: (await import("node:os")).hostname(), start: null }),
    );
    const filler = join(folder, "filler");
    try {
      for (;;) writeFileSync(filler, "x".repeat(4096), { flag: "a" });
    } catch {
      // full
    }
    await readAndLaterSave(folder, () => rmSync(filler));
  });

  test("a lock that is held keeps a second server out there, too", async () => {
    const { folder } = await runningServer();
    disk.before = (operation) => {
      if (operation === "writeFile") throw systemError("ENOSPC");
    };
    onTestFinished(() => void (disk.before = undefined));
    await expect(openWorkplace({ folder, examples: {} })).rejects.toThrow(/already in use/);
  });
});

describe("names", () => {
  const astral = "𠀋";

  test("copies of names near the longest, with letters beyond the first plane, are seen and never overwritten", async () => {
    const letters = fc.constantFrom("a", astral, "é", "赤", " ", "-", "𝒳");
    let tried = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(letters, { minLength: 30, maxLength: 80 }), async (signs) => {
        const name = signs.join("").trim();
        if (!isName(name)) return;
        tried++;
        const folder = await temporaryFolder();
        const store = await storeIn(folder);
        await store.create(name, notebookText("first"));
        const made = [name];
        for (let k = 0; k < 3; k++) made.push((await store.duplicate(name, undefined)).name);
        await store.remove(name);
        const second = await store.create(name, notebookText("second"));
        made.push((await store.restoreFromBin((await store.bin())[0].id)).name);
        expect(new Set(made).size).toBe(5);
        expect((await store.list()).map((entry) => entry.name).sort()).toEqual([...made].sort());
        expect((await store.open(name)).revision).toBe(second.revision);
        for (const other of made.slice(1)) expect((await store.open(other)).text).toBe(notebookText("first"));
        for (const file of readdirSync(folder)) expect(file).not.toContain("\uFFFD");
      }),
      { numRuns: cases(200, 10), seed: 5 },
    );
    console.log(`${tried} long names: every copy and restored notebook listed, 0 overwritten`);
    expect(tried).toBeGreaterThan(cases(60, 10));
  });

  test("something by hand where a notebook is brought back to stays as it is", async () => {
    const folder = await temporaryFolder();
    const store = await storeIn(folder);
    await store.create("a", notebookText("old"));
    await store.remove("a");
    disk.before = (operation, path) => {
      if (operation === "link" && path === join(folder, "a.bole.json"))
        writeFileSync(path, notebookText("by hand"));
    };
    await expect(store.restoreFromBin((await store.bin())[0].id)).rejects.toEqual(refused(409, /already/));
    disk.before = undefined;
    expect(readFileSync(join(folder, "a.bole.json"), "utf8")).toBe(notebookText("by hand"));
    expect(await store.bin()).toHaveLength(1);
  });

  const pairs = [
    ["sofa", "Sofa"],
    ["straße", "STRASSE"],
    ["kanapé", "KANAPÉ"],
    ["µ", "μ"],
  ];
  test.each(pairs)("%j and %j are one name where capitals do not count", async (one, other) => {
    const { send, folder } = await runningServer();
    const post = (name: string) =>
      send("/api/notebooks", { method: "POST", body: { name, document: notebook(name) } });
    expect((await post(one)).status).toBe(201);
    expect((await post("z")).status).toBe(201);
    expect((await post(other)).status).toBe(409);
    for (const way of ["rename", "duplicate"])
      expect((await send(`/api/notebooks/z/${way}`, { method: "POST", body: { to: other } })).status).toBe(
        409,
      );
    expect((await send(`/api/notebooks/${encodeURIComponent(one)}`, { method: "DELETE" })).status).toBe(200);
    expect((await post(other)).status).toBe(201);
    const [{ id }] = (await send("/api/bin")).json.notebooks;
    const back = await send(`/api/bin/${encodeURIComponent(id)}/restore`, { method: "POST", body: {} });
    expect([back.status, back.json.name]).toEqual([201, `${one}-2`]);
    expect(readdirSync(folder).filter((file) => file.endsWith(".bole.json"))).toHaveLength(3);
    const keep = (name: string) =>
      send("/api/library", { method: "POST", body: { name, kind: "note", title: "t", parameters: {} } });
    expect([(await keep(one)).status, (await keep(other)).status]).toEqual([201, 409]);
  });

  test("two files that differ in capitals only, made by hand, are each their own", async () => {
    const folder = await temporaryFolder();
    for (const name of ["sofa", "Sofa"]) writeFileSync(join(folder, `${name}.bole.json`), notebookText(name));
    if (readdirSync(folder).length < 2) return; // a file system that takes them for one
    const store = await storeIn(folder);
    for (const name of ["sofa", "Sofa"]) {
      await store.save(name, notebookText(`${name} 2`), revisionOf(notebookText(name)));
      expect(readFileSync(join(folder, `${name}.bole.json`), "utf8")).toBe(notebookText(`${name} 2`));
      expect(await store.revisions(name)).toHaveLength(2);
    }
    await expect(store.rename("sofa", "SOFA")).rejects.toEqual(refused(409, /already/));
  });

  test("the longest name there is can be kept in the library, get a version and go", async () => {
    const { send } = await runningServer();
    for (const name of ["é".repeat(80), astral.repeat(40), `${"赤".repeat(66)}aa`]) {
      const at = `/api/library/${encodeURIComponent(name)}`;
      const cell = { kind: "note", title: "t", parameters: { x: 1 } };
      expect((await send("/api/library", { method: "POST", body: { ...cell, name } })).status).toBe(201);
      const version = { ...cell, parameters: { x: 2 }, basedOn: 1 };
      expect((await send(`${at}/versions`, { method: "POST", body: version })).json.version).toBe(2);
      expect((await send(at, { method: "DELETE" })).status).toBe(200);
    }
  });
});

describe("links in the hidden folder", () => {
  test.each(["revisions/a", "revisions", "temporary", "bin", "aside", "../library"])(
    ".bole/%s as a link: nothing is read or written through it, and the file stays",
    async (place) => {
      const folder = await temporaryFolder();
      const outside = await temporaryFolder();
      const store = await storeIn(folder);
      const { revision } = await store.create("a", notebookText("1"));
      const path = join(folder, ".bole", place);
      renameSync(path, join(folder, "moved"));
      symlinkSync(outside, path);
      await expect(store.save("a", notebookText("2"), revision)).rejects.toEqual(refused(403, /is a link/));
      await expect(store.revisions("a")).rejects.toEqual(refused(403, /is a link/));
      expect(readdirSync(outside)).toEqual([]);
      expect(readFileSync(join(folder, "a.bole.json"), "utf8")).toBe(notebookText("1"));
      rmSync(path);
      renameSync(join(folder, "moved"), path);
      await store.save("a", notebookText("2"), revision);
      expect(await store.revisions("a")).toHaveLength(2);
    },
  );

  test("a file in the place of the revisions of a notebook is named", async () => {
    const folder = await temporaryFolder();
    const store = await storeIn(folder);
    writeFileSync(join(folder, ".bole/revisions/a"), "x");
    writeFileSync(join(folder, "a.bole.json"), notebookText("1"));
    const { revision } = await store.open("a");
    await expect(store.save("a", notebookText("2"), revision)).rejects.toEqual(
      refused(403, /has to be a folder/),
    );
  });
});

describe("numbers too large to keep", () => {
  test.each(["1e400", "-1e309", "1E+999", "9".repeat(400)])(
    "%s is refused, not stored as null",
    async (number) => {
      const { folder, send } = await runningServer();
      const text = JSON.stringify({
        ...notebook("n"),
        cells: [{ id: "c", kind: "note", title: "", parameters: { list: [1, { x: 7 }] }, inputs: {} }],
      });
      const made = await send("/api/notebooks", { method: "POST", raw: `{"name":"a","document":${text}}` });
      expect(made.status).toBe(201);
      const before = readFileSync(join(folder, "a.bole.json"), "utf8");
      const bad = text.replace(":7", `:${number}`);
      const words = /parameters → list → 1 → x.*larger than any/;
      for (const call of [
        { path: "/api/notebooks", method: "POST", raw: `{"name":"b","document":${bad}}` },
        {
          path: "/api/notebooks/a",
          method: "PUT",
          raw: bad,
          headers: { "if-match": `"${made.json.revision}"` },
        },
        {
          path: "/api/notebooks/a",
          method: "PUT",
          raw: `{"basedOn":"${made.json.revision}","document":${bad}}`,
        },
      ]) {
        const reply = await send(call.path, call);
        expect([reply.status, reply.json.error]).toEqual([400, expect.stringMatching(words)]);
      }
      expect(readFileSync(join(folder, "a.bole.json"), "utf8")).toBe(before);
      // By hand in a file: listed with the reason, and its text is given as it stands.
      writeFileSync(join(folder, "hand.bole.json"), bad);
      const { notebooks } = (await send("/api/notebooks")).json;
      expect(notebooks.find(({ name }: { name: string }) => name === "hand").problem).toMatch(words);
      expect((await send("/api/notebooks/hand")).json.text).toBe(bad);
    },
  );
});
