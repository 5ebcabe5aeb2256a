import {
  closeSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { join } from "node:path";
import { expect, test, vi } from "vitest";
import { clearTemporary, prepareFolder } from "../../src/server/folder.ts";
import { Refusal } from "../../src/server/refusal.ts";
import { NotebookStore } from "../../src/server/store.ts";
import { cases, thorough } from "../howMuch.ts";
import { disk } from "./faultyDisk.ts";
import { notebookText, temporaryFolder } from "./temporaryFolder.ts";

vi.mock("node:fs/promises", async (original) => {
  const { faultyDisk } = await import("./faultyDisk.ts");
  return faultyDisk(await original());
});

const seed = 20260214;
let state = seed;
/** From 0 to below 1; the same at every run. */
function random(): number {
  state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
  return state / 2 ** 32;
}

async function storeIn(folder: string): Promise<NotebookStore> {
  const places = await prepareFolder(folder);
  await clearTemporary(places);
  return NotebookStore.open({ places, examples: {} });
}

/** Every text of the folder: notebooks, revisions, the bin and what lies aside. */
function textsIn(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((file) => file.endsWith(".json"))
    .map((file) => readFileSync(join(folder, file), "utf8"));
}

/** Ways in which programs write a file; each gives what it does later, when the save has ended. */
const editors: Record<string, (path: string, text: string) => (() => void) | undefined> = {
  "in place": (path, text) => {
    writeFileSync(path, text);
    return undefined;
  },
  "by a new file": (path, text) => {
    writeFileSync(`${path}.new`, text);
    renameSync(`${path}.new`, path);
    return undefined;
  },
  "after a copy": (path, text) => {
    try {
      renameSync(path, `${path}~`);
    } catch {
      // just being replaced
    }
    writeFileSync(path, text);
    return undefined;
  },
  "opened before, written after": (path, text) => {
    let file: number;
    try {
      file = openSync(path, "r+");
    } catch {
      writeFileSync(path, text); // just being replaced
      return undefined;
    }
    return () => {
      writeSync(file, text, 0);
      closeSync(file);
    };
  },
};

/** Edits just before the call `at` of a save; gives whether the save came so far. */
async function race(
  store: NotebookStore,
  folder: string,
  editor: string,
  at: number,
  round: number,
): Promise<{ reached: boolean; outcome: "saved" | "refused" }> {
  const path = join(folder, "a.bole.json");
  const present = await store.open("a");
  // Of one length, so that only the content tells them apart.
  const mine = notebookText(`mine ${String(round).padStart(5, "0")}`);
  const theirs = notebookText(`hand ${String(round).padStart(5, "0")}`);
  let [count, reached] = [0, false];
  let later: (() => void) | undefined;
  disk.before = () => {
    if (count++ < at) return;
    reached = true;
    disk.before = undefined;
    later = editors[editor](path, theirs);
  };
  let outcome: "saved" | "refused" = "saved";
  try {
    await store.save("a", mine, present.revision);
  } catch (error) {
    if (!(error instanceof Refusal) || ![409, 404].includes(error.status)) throw error;
    outcome = "refused";
  }
  disk.before = undefined;
  later?.();
  if (!reached) return { reached, outcome };
  const what = `${editor}, at call ${at}, round ${round}: ${outcome}`;
  const next = await storeIn(folder); // looks at once at what lies aside
  const texts = textsIn(folder);
  expect(texts, what).toContain(theirs);
  if (outcome === "saved") expect(texts, what).toContain(mine);
  expect([mine, theirs], what).toContain((await next.open("a")).text);
  if (outcome === "refused") expect((await next.open("a")).text, what).toBe(theirs);
  expect(readdirSync(join(folder, ".bole/aside")), what).toEqual([]);
  return { reached, outcome };
}

test("a hand edit at any one call of a save, in every way that programs write: both are kept", async () => {
  let round = 0;
  const tried = { saved: 0, refused: 0 };
  for (const editor of Object.keys(editors)) {
    const folder = await temporaryFolder();
    let store = await storeIn(folder);
    await store.create("a", notebookText("made 00000"));
    for (let at = 0; ; at += thorough ? 1 : 3 + Math.floor(9 * random())) {
      store = await storeIn(folder);
      const { reached, outcome } = await race(store, folder, editor, at, ++round);
      if (!reached) break;
      tried[outcome]++;
    }
  }
  console.log(`${round} edits at a call of a save: ${tried.saved} saved, ${tried.refused} refused, 0 lost`);
  expect(tried.refused).toBeGreaterThan(thorough ? 20 : 10);
});

test(`${cases(1000, 20)} races of a hand edit against a save lose neither`, async () => {
  const folder = await temporaryFolder();
  await (await storeIn(folder)).create("a", notebookText("made 00000"));
  const tried = { saved: 0, refused: 0, late: 0 };
  const ways = Object.keys(editors);
  for (let round = 1; round <= cases(1000, 20); round++) {
    // The last calls of a save, where it takes its place, are tried most.
    const at = random() < 0.5 ? Math.floor(46 * random()) : 26 + Math.floor(14 * random());
    const editor = ways[Math.floor(ways.length * random())];
    const { reached, outcome } = await race(await storeIn(folder), folder, editor, at, 10_000 + round);
    tried[reached ? outcome : "late"]++;
  }
  console.log(
    `${cases(1000, 20)} races (seed ${seed}): ${tried.saved} saved, ${tried.refused} refused with what stands in the ` +
      `file, ${tried.late} ended before the edit; 0 lost`,
  );
  expect(tried.refused).toBeGreaterThan(cases(100, 20));
}, 180_000);

test("a file that another program removes at any one call is not brought back by a refusal", async () => {
  let points = 0;
  for (let at = 0; ; at++) {
    const folder = await temporaryFolder();
    const store = await storeIn(folder);
    const { revision } = await store.create("a", notebookText("1"));
    let [count, reached] = [0, false];
    disk.before = () => {
      if (count++ < at) return;
      reached = true;
      disk.before = undefined;
      rmSync(join(folder, "a.bole.json"), { force: true });
    };
    const outcome = await store.save("a", notebookText("2"), revision).catch((error) => error as Refusal);
    disk.before = undefined;
    if (!reached) break;
    points++;
    // Removed before: the answer says so. Removed after it had been confirmed: the revisions have it.
    if (outcome instanceof Refusal) expect(outcome.status).toBe(404);
    else expect(textsIn(folder)).toContain(notebookText("2"));
    expect(textsIn(folder)).toContain(notebookText("1"));
  }
  console.log(`removed by hand at each of ${points} calls: every answer true`);
  expect(points).toBeGreaterThan(20);
});
