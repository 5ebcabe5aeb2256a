import { execFileSync } from "node:child_process";
import { chmodSync, readdirSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, onTestFinished, test, vi } from "vitest";
import { parseNotebook } from "../../src/document/notebook.ts";
import { clearTemporary, prepareFolder } from "../../src/server/folder.ts";
import { Refusal } from "../../src/server/refusal.ts";
import { listRevisions, revisionOf } from "../../src/server/revisions.ts";
import { NotebookStore } from "../../src/server/store.ts";
import { callStride, thorough } from "../howMuch.ts";
import { disk, systemError } from "./faultyDisk.ts";
import { runningServer } from "./runningServer.ts";
import { notebook, notebookText, temporaryFolder } from "./temporaryFolder.ts";

vi.mock("node:fs/promises", async (original) => {
  const { faultyDisk } = await import("./faultyDisk.ts");
  return faultyDisk(await original());
});

async function storeIn(folder: string, now?: () => Date): Promise<NotebookStore> {
  const places = await prepareFolder(folder);
  await clearTemporary(places);
  return NotebookStore.open({ places, examples: {}, now });
}

const fileIn = (folder: string, name = "a") => join(folder, `${name}.bole.json`);
const onDisk = (folder: string, name = "a") => readFileSync(fileIn(folder, name), "utf8");
const failed = Symbol("failed");

/** The first `calls` calls to the file system work; then `fail` says what happens. */
function failAfter(calls: number, fail: (operation: string) => void): { readonly reached: boolean } {
  let count = 0;
  const state = { reached: false };
  disk.before = (operation) => {
    if (count++ < calls) return;
    state.reached = true;
    fail(operation);
  };
  onTestFinished(() => void (disk.before = undefined));
  return state;
}

describe("a disk that fails at any one call of a save", () => {
  const troubles = ["ENOSPC", "EIO", "EACCES", "EROFS", "EMFILE"];
  test.each(thorough ? troubles : troubles.slice(0, 2))(
    "%s: the file is whole, nothing confirmed is lost, and the same save works later",
    async (code) => {
      let points = 0;
      let refused = 0;
      for (let calls = 0; ; calls += callStride) {
        const folder = await temporaryFolder();
        const store = await storeIn(folder);
        const before = await store.create("a", notebookText("before"));
        const fault = failAfter(calls, () => {
          disk.before = undefined;
          throw systemError(code);
        });
        const outcome = await store.save("a", notebookText("after"), before.revision).catch(() => failed);
        disk.before = undefined;
        if (!fault.reached) break;
        points++;
        const text = onDisk(folder);
        parseNotebook(text);
        if (outcome === failed) {
          refused++;
          expect([notebookText("before"), notebookText("after")]).toContain(text);
        } else expect(text).toBe(notebookText("after"));
        const again = await store.save("a", notebookText("after"), before.revision);
        expect(again.revision).toBe(revisionOf(notebookText("after")));
        expect(onDisk(folder)).toBe(notebookText("after"));
        const next = await store.save("a", notebookText("next"), again.revision);
        const kept = (await store.revisions("a")).map(({ revision }) => revision);
        expect(kept).toEqual(expect.arrayContaining([before.revision, again.revision, next.revision]));
        await storeIn(folder);
        expect(readdirSync(join(folder, ".bole", "temporary"))).toEqual([]);
      }
      console.log(`${code}: failed at ${points} calls, ${refused} saves refused, 0 lost, 0 unreadable`);
      expect(points * callStride).toBeGreaterThan(15);
      expect(refused * callStride).toBeGreaterThan(10);
    },
  );

  test("a process that ends at any one call: the next start finds a whole notebook and every confirmed save", async () => {
    let points = 0;
    for (let calls = 0; ; calls += callStride) {
      const folder = await temporaryFolder();
      const store = await storeIn(folder);
      const first = await store.create("a", notebookText("0"));
      const second = await store.save("a", notebookText("1"), first.revision);
      const fault = failAfter(calls, () => {
        throw systemError("EIO"); // and so does every call after it: there is no process any more
      });
      const outcome = await store.save("a", notebookText("2"), second.revision).catch(() => failed);
      disk.before = undefined;
      if (!fault.reached) break;
      points++;
      const next = await storeIn(folder);
      const [entry] = await next.list();
      expect(entry.problem).toBeUndefined();
      const { text } = await next.open("a");
      expect(outcome === failed ? [notebookText("1"), notebookText("2")] : [notebookText("2")]).toContain(
        text,
      );
      const kept = (await next.revisions("a")).map(({ revision }) => revision);
      expect(kept).toEqual(expect.arrayContaining([first.revision, second.revision]));
      expect(readdirSync(join(folder, ".bole", "temporary"))).toEqual([]);
      const saved = await next.save("a", notebookText("3"), revisionOf(text));
      expect((await next.open("a")).revision).toBe(saved.revision);
    }
    console.log(`ended at ${points} calls: 0 confirmed saves lost, 0 notebooks unreadable`);
    expect(points * callStride).toBeGreaterThan(15);
  });

  test.each(["rename", "remove", "duplicate", "restore", "create"] as const)(
    "%s: nothing is lost and no notebook is unreadable",
    async (what) => {
      let points = 0;
      for (let calls = 0; ; calls += callStride) {
        const folder = await temporaryFolder();
        const store = await storeIn(folder);
        const first = await store.create("a", notebookText("first"));
        await store.save("a", notebookText("second"), first.revision);
        const [, { id }] = await store.revisions("a");
        const fault = failAfter(calls, () => {
          disk.before = undefined;
          throw systemError("ENOSPC");
        });
        const act = {
          rename: () => store.rename("a", "b"),
          remove: () => store.remove("a"),
          duplicate: () => store.duplicate("a", "b"),
          restore: () => store.restore("a", id, undefined),
          create: () => store.create("b", notebookText("new")),
        }[what];
        const outcome = await act().catch(() => failed);
        disk.before = undefined;
        if (!fault.reached) break;
        points++;
        for (const entry of await store.list()) expect(entry.problem).toBeUndefined();
        // Wherever it stands now, under its name, its new one or in the bin, the text is whole.
        const inBin = join(folder, ".bole", "bin");
        const texts = [folder, inBin].flatMap((place) =>
          readdirSync(place)
            .filter((file) => file.endsWith(".bole.json"))
            .map((file) => readFileSync(join(place, file), "utf8")),
        );
        for (const text of texts) parseNotebook(text);
        const wanted = what === "restore" && outcome !== failed ? "first" : "second";
        if (what === "restore") expect([notebookText("first"), notebookText("second")]).toContain(texts[0]);
        else expect(texts).toContain(notebookText(wanted));
        const revisions = readdirSync(`${folder}/.bole`, { recursive: true, encoding: "utf8" });
        for (const text of ["first", "second"].map(notebookText))
          expect(revisions.some((file) => file.endsWith(`${revisionOf(text)}.json`))).toBe(true);
      }
      console.log(`${what}: failed at ${points} calls, 0 lost, 0 unreadable`);
      expect(points * callStride).toBeGreaterThan(3);
    },
  );

  test("the answer says in words what the disk refused, and that the file is as it was", async () => {
    const { send, faults } = await runningServer();
    const { revision } = (
      await send("/api/notebooks", { method: "POST", body: { name: "a", document: notebook("1") } })
    ).json;
    for (const [code, status, words] of [
      ["ENOSPC", 507, /disk is full.*as it was/],
      ["EACCES", 403, /may not be written.*as it was/],
      ["EMFILE", 503, /[Tt]oo many files/],
    ] as const) {
      disk.before = (operation) => {
        if (operation === "writeFile") throw systemError(code);
      };
      const reply = await send("/api/notebooks/a", {
        method: "PUT",
        body: { document: notebook("2"), basedOn: revision },
      });
      disk.before = undefined;
      expect([reply.status, reply.json.error]).toEqual([status, expect.stringMatching(words)]);
    }
    expect((await send("/api/notebooks/a")).json.revision).toBe(revision);
    expect(faults).toEqual([]);
  });
});

test("a disk that is really full: saves are refused until there is room again, and nothing is lost", async ({
  skip,
}) => {
  const folder = await temporaryFolder();
  try {
    execFileSync("mount", ["-t", "tmpfs", "-o", "size=256k", "tmpfs", folder], { stdio: "ignore" });
  } catch {
    skip("this account may not mount a small disk; only the simulated one is tested");
  }
  onTestFinished(() => void execFileSync("umount", [folder]));
  const store = await storeIn(folder);
  const text = (k: number, size: number) =>
    `${JSON.stringify({ ...notebook(`${k}`), cells: [{ id: "note", kind: "note", title: "", parameters: { text: "x".repeat(size) }, inputs: {} }] })}\n`;
  let { revision } = await store.create("a", text(0, 5000));
  let confirmed = text(0, 5000);
  let [saved, refused] = [0, 0];
  for (let k = 1; refused < 20; k++) {
    const wanted = text(k, 5000 + 50 * k);
    try {
      revision = (await store.save("a", wanted, revision)).revision;
      confirmed = wanted;
      saved++;
    } catch (error) {
      expect((error as NodeJS.ErrnoException).code).toBe("ENOSPC");
      refused++;
    }
    expect(onDisk(folder)).toBe(confirmed);
  }
  for (const { id } of (await store.revisions("a")).slice(10))
    rmSync(join(folder, ".bole/revisions/a", `${id}.json`));
  await store.save("a", text(-1, 6000), revision);
  expect(onDisk(folder)).toBe(text(-1, 6000));
  console.log(`full disk of 256 kB: ${saved} saves confirmed, ${refused} refused, 0 lost, 0 unreadable`);
  expect(saved).toBeGreaterThan(5);
});

// Root may write everything; server.processes.test.ts has the same for a server of another account.
const isRoot = process.getuid?.() === 0;
test.skipIf(isRoot)(
  "a folder that may not be written: saves are refused in words, and nothing is lost",
  async () => {
    const folder = await temporaryFolder();
    const store = await storeIn(folder);
    const { revision } = await store.create("a", notebookText("1"));
    for (const place of [join(folder, ".bole", "temporary"), join(folder, ".bole", "revisions"), folder]) {
      chmodSync(place, 0o555);
      await expect(store.save("a", notebookText("2"), revision)).rejects.toThrow(/EACCES/);
      expect(onDisk(folder)).toBe(notebookText("1"));
      chmodSync(place, 0o755);
    }
    await store.save("a", notebookText("2"), revision);
  },
);

describe("a clock that is set back", () => {
  test("revisions stay in the order of the saves, and the right ones are dropped", async () => {
    const folder = await temporaryFolder();
    const store = await storeIn(folder);
    let { revision } = await store.create("a", notebookText("0"));
    const saves = [revision];
    for (let k = 1; k <= 60; k++) {
      revision = (await store.save("a", notebookText(`${k}`), revision)).revision;
      saves.push(revision);
      // Each file is younger than all that follow: the clock goes back a day with each save.
      const time = new Date(Date.UTC(2030, 0, 100 - k));
      const [{ id }] = await store.revisions("a");
      for (const path of [fileIn(folder), join(folder, ".bole/revisions/a", `${id}.json`)])
        utimesSync(path, time, time);
    }
    const kept = (await store.revisions("a")).map((entry) => entry.revision);
    expect(kept).toEqual(saves.slice(-50).reverse());
    console.log(`clock set back 60 times: 60 saves confirmed, 0 lost, the last 50 kept in order`);
  });

  test("an edit by another program with an older time is seen, and is a conflict", async () => {
    const folder = await temporaryFolder();
    const changes: string[] = [];
    const places = await prepareFolder(folder);
    const store = await NotebookStore.open({
      places,
      examples: {},
      onChange: ({ outside, revision }) => void (outside && changes.push(revision ?? "gone")),
    });
    const { revision } = await store.create("a", notebookText("1"));
    writeFileSync(fileIn(folder), notebookText("2"));
    utimesSync(fileIn(folder), new Date(0), new Date(0));
    await store.scan();
    expect(changes).toEqual([revisionOf(notebookText("2"))]);
    // Same size, same time: the list cannot know, but a save reads the file itself.
    const { mtime } = statSync(fileIn(folder));
    writeFileSync(fileIn(folder), notebookText("3"));
    utimesSync(fileIn(folder), mtime, mtime);
    await expect(store.save("a", notebookText("mine"), revisionOf(notebookText("2")))).rejects.toThrow(
      Refusal,
    );
    expect(onDisk(folder)).toBe(notebookText("3"));
    expect(revision).not.toBe(revisionOf(notebookText("3")));
  });

  test("notebooks deleted at one and the same moment are all in the bin", async () => {
    const folder = await temporaryFolder();
    const store = await storeIn(folder, () => new Date(0));
    for (let k = 0; k < 20; k++) {
      await store.create("a", notebookText(`${k}`));
      await store.remove("a");
    }
    expect(await store.bin()).toHaveLength(20);
  });
});

describe("files that are not whole", () => {
  test("a notebook cut short at any place is listed with the reason, kept, and brought back from its revisions", async () => {
    const folder = await temporaryFolder();
    const store = await storeIn(folder);
    const text = notebookText("whole");
    await store.create("a", text);
    const cuts = Array.from({ length: 40 }, (_, k) => Math.floor((k * (text.length - 1)) / 40));
    for (const cut of cuts) {
      writeFileSync(fileIn(folder), text.slice(0, cut));
      const [entry] = await store.list();
      expect([entry.name, entry.problem]).toEqual([
        "a",
        expect.stringMatching(/not valid JSON|not a notebook/),
      ]);
      const { revision } = await store.open("a");
      // A page that had it open before may write over it only on this very state.
      await expect(store.save("a", notebookText("mine"), revisionOf(text))).rejects.toThrow(
        /changed elsewhere/,
      );
      const [{ id }] = (await store.revisions("a")).filter((kept) => kept.revision === revisionOf(text));
      await store.restore("a", id, revision);
      expect(onDisk(folder)).toBe(text);
      const kept = (await store.revisions("a")).map((other) => other.revision);
      expect(kept).toContain(revisionOf(text.slice(0, cut)));
    }
    console.log(`cut short at ${cuts.length} places: each listed with the reason and brought back whole`);
  });

  test("a half-written revision is refused by name, the others go on, and it is not taken for the state it says", async () => {
    const folder = await temporaryFolder();
    const store = await storeIn(folder);
    let { revision } = await store.create("a", notebookText("1"));
    revision = (await store.save("a", notebookText("2"), revision)).revision;
    const [newest, oldest] = await store.revisions("a");
    const path = join(folder, ".bole/revisions/a", `${newest.id}.json`);
    writeFileSync(path, readFileSync(path, "utf8").slice(0, 20));
    await expect(store.readRevision("a", newest.id)).rejects.toThrow(/damaged/);
    await expect(store.restore("a", newest.id, revision)).rejects.toThrow(/damaged/);
    expect(onDisk(folder)).toBe(notebookText("2"));
    expect((await store.restore("a", oldest.id, revision)).text).toBe(notebookText("1"));
    writeFileSync(join(folder, ".bole/revisions/a", "000099-half.json"), "{");
    expect(
      (await listRevisions(join(folder, ".bole/revisions/a"))).every(({ id }) => id !== "000099-half"),
    ).toBe(true);
  });

  test("what a killed server left half-written is cleared at the next start", async () => {
    const folder = await temporaryFolder();
    await storeIn(folder);
    writeFileSync(join(folder, ".bole/temporary/a.bole.json.1234.tmp"), '{"format":');
    const store = await storeIn(folder);
    expect(readdirSync(join(folder, ".bole/temporary"))).toEqual([]);
    expect(await store.list()).toEqual([]);
  });
});
