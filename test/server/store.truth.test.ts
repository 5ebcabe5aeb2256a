import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, onTestFinished, test, vi } from "vitest";
import { clearTemporary, prepareFolder } from "../../src/server/folder.ts";
import { Library } from "../../src/server/library.ts";
import { NotebookStore } from "../../src/server/store.ts";
import { callStride, thorough } from "../howMuch.ts";
import { disk, systemError } from "./faultyDisk.ts";
import { notebookText, temporaryFolder } from "./temporaryFolder.ts";

// Every answer is compared with what stands on the disk afterwards, read without the server.

vi.mock("node:fs/promises", async (original) => {
  const { faultyDisk } = await import("./faultyDisk.ts");
  return faultyDisk(await original());
});

async function openIn(folder: string) {
  const places = await prepareFolder(folder);
  await clearTemporary(places);
  const store = await NotebookStore.open({ places, examples: {} });
  const library = await Library.open({ places, onChange: () => {} });
  return { places, store, library };
}

type Opened = Awaited<ReturnType<typeof openIn>>;

const cell = (x: number) => ({ kind: "note", title: "kept", note: "", parameters: { x } });

/** What an operation does, and whether that stands on the disk. */
const operations: Record<
  string,
  {
    act(opened: Opened): Promise<unknown>;
    isDone(folder: string): boolean;
    isUndone(folder: string): boolean;
  }
> = {
  save: {
    act: async ({ store }) => store.save("a", notebookText("new"), (await store.open("a")).revision),
    isDone: (folder) => textOf(folder, "a") === notebookText("new"),
    isUndone: (folder) => textOf(folder, "a") === notebookText("second"),
  },
  restore: {
    act: async ({ store }) => store.restore("a", (await store.revisions("a"))[1].id, undefined),
    isDone: (folder) => textOf(folder, "a") === notebookText("first"),
    isUndone: (folder) => textOf(folder, "a") === notebookText("second"),
  },
  create: {
    act: ({ store }) => store.create("b", notebookText("new")),
    isDone: (folder) => textOf(folder, "b") === notebookText("new"),
    isUndone: (folder) => textOf(folder, "b") === undefined,
  },
  duplicate: {
    act: ({ store }) => store.duplicate("a", "b"),
    isDone: (folder) => textOf(folder, "b") === notebookText("second"),
    isUndone: (folder) => textOf(folder, "b") === undefined,
  },
  rename: {
    act: ({ store }) => store.rename("a", "b"),
    isDone: (folder) => textOf(folder, "b") === notebookText("second") && textOf(folder, "a") === undefined,
    isUndone: (folder) => textOf(folder, "a") === notebookText("second") && textOf(folder, "b") === undefined,
  },
  remove: {
    act: ({ store }) => store.remove("a"),
    isDone: (folder) => textOf(folder, "a") === undefined,
    isUndone: (folder) => textOf(folder, "a") === notebookText("second"),
  },
  "bring back": {
    act: async ({ store }) => store.restoreFromBin((await store.bin())[0].id),
    isDone: (folder) => textOf(folder, "old") === notebookText("old"),
    isUndone: (folder) => textOf(folder, "old") === undefined,
  },
  "keep in the library": {
    act: ({ library }) => library.create("item", cell(2)),
    isDone: (folder) => existsSync(join(folder, "library", "item.bole-item.json")),
    isUndone: (folder) => !existsSync(join(folder, "library", "item.bole-item.json")),
  },
  "add a version": {
    act: ({ library }) => library.addVersion("there", cell(3), 1),
    isDone: (folder) => versionsOf(folder) === 2,
    isUndone: (folder) => versionsOf(folder) === 1,
  },
  "remove from the library": {
    act: ({ library }) => library.remove("there"),
    isDone: (folder) => versionsOf(folder) === undefined,
    isUndone: (folder) => versionsOf(folder) === 1,
  },
};

function textOf(folder: string, name: string): string | undefined {
  const path = join(folder, `${name}.bole.json`);
  return existsSync(path) ? readFileSync(path, "utf8") : undefined;
}

function versionsOf(folder: string): number | undefined {
  const path = join(folder, "library", "there.bole-item.json");
  return existsSync(path) ? JSON.parse(readFileSync(path, "utf8")).versions.length : undefined;
}

/** A folder with a notebook of two states, one in the bin, and an item of the library. */
async function furnished(): Promise<{ folder: string; opened: Opened }> {
  const folder = await temporaryFolder();
  const opened = await openIn(folder);
  const { store, library } = opened;
  const { revision } = await store.create("a", notebookText("first"));
  await store.save("a", notebookText("second"), revision);
  await store.create("old", notebookText("old"));
  await store.remove("old");
  await library.create("there", cell(1));
  return { folder, opened };
}

interface Told {
  message: string;
  status?: number;
  fields?: { done?: boolean };
}

/** What a person is told: nothing when it went well. */
async function attempt(opened: Opened, operation: string): Promise<Told | undefined> {
  try {
    await operations[operation].act(opened);
    return undefined;
  } catch (error) {
    return error as Told;
  } finally {
    disk.before = undefined;
  }
}

function expectTrue(operation: string, folder: string, told: Told | undefined): void {
  const { isDone, isUndone } = operations[operation];
  const state = `${operation}: ${told?.message} (${readdirSync(folder)})`;
  if (!told || told.fields?.done) expect(isDone(folder), state).toBe(true);
  else if (told.fields?.done === false) expect(isUndone(folder), state).toBe(true);
  else expect(isDone(folder) || isUndone(folder), state).toBe(true);
  // Whoever is told "no" without more must be able to trust that nothing was done.
  if (told && told.fields?.done === undefined && /othing|as it was|is still|has kept/.test(told.message))
    expect(isUndone(folder), state).toBe(true);
}

const names = Object.keys(operations);

describe("what is answered when the disk fails", () => {
  const codes = thorough ? ["ENOSPC", "EIO", "EACCES", "EROFS", "EMFILE"] : ["ENOSPC"];
  test.each(names.flatMap((name) => codes.map((code) => [name, code])))(
    "%s, %s once at any one call, or at all from then on: the answer is what stands on the disk",
    async (operation, code) => {
      const tried = { points: 0, refused: 0, done: 0, unknown: 0 };
      for (const lasting of [false, true]) {
        for (let calls = 0; ; calls += callStride) {
          const { folder, opened } = await furnished();
          let [count, reached] = [0, false];
          disk.before = (_, __, ___, changes) => {
            // A full disk still lets files be read and taken away.
            if (lasting && (code !== "ENOSPC" ? false : !changes)) return;
            if (count++ < calls) return;
            reached = true;
            if (!lasting) disk.before = undefined;
            throw systemError(code);
          };
          const told = await attempt(opened, operation);
          if (!reached) break;
          tried.points++;
          if (told) {
            tried.refused++;
            if (told.fields?.done) tried.done++;
            if (told.fields?.done === undefined) tried.unknown++;
          }
          // What lies aside for lack of any call that works goes back at the next look or start.
          const next = await openIn(folder);
          expectTrue(operation, folder, told);
          for (const entry of await next.store.list()) expect(entry.problem).toBeUndefined();
          expect((await attempt(next, operation))?.status ?? 409).toBeLessThan(500);
        }
      }
      console.log(
        `${operation}, ${code}: ${tried.points} faults, ${tried.refused} told: ${tried.done} done all the same, ` +
          `${tried.unknown} not known; 0 answers untrue`,
      );
      expect(tried.refused).toBeGreaterThan(3);
    },
  );

  const parts = [".bole/revisions", ".bole/temporary", ".bole/bin", ".bole/aside", "library", "."];
  // In a short run every other pair; the operations begin by turns with the first and the second part.
  const pairs = names.flatMap((name, n) =>
    parts.filter((_, p) => thorough || (n + p) % 2 === 0).map((part) => [name, part]),
  );
  test.each(pairs)(
    "%s with %s read-only: the answer is what stands on the disk, and it works once it may be written",
    async (operation, part) => {
      const { folder, opened } = await furnished();
      const closed = join(folder, part);
      const isIn = (path: string) => path.startsWith(`${closed}/`);
      const isDirectlyIn = (path: string) => isIn(path) && !path.slice(closed.length + 1).includes("/");
      disk.before = (_, path, from, changes) => {
        const hit = part === "." ? isDirectlyIn : isIn;
        // What is there already is not made anew.
        if (changes && !(_ === "mkdir" && existsSync(path)) && (hit(path) || (from && hit(from))))
          throw systemError("EACCES");
      };
      onTestFinished(() => void (disk.before = undefined));
      const told = await attempt(opened, operation);
      if (told)
        expect(told).toMatchObject({ status: 403, message: expect.stringMatching(/may not be written/) });
      expectTrue(operation, folder, told);
      if (told?.fields?.done === false) expect(await attempt(opened, operation)).toBeUndefined();
      expect(readdirSync(join(folder, ".bole/temporary"))).toEqual([]);
    },
  );
});
