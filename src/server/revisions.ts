import { createHash, webcrypto } from "node:crypto";
import { lstat, mkdir, readdir, readFile, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import type { RevisionEntry } from "../document/served.ts";
import { sameWorkText } from "../document/view.ts";
import { codeOf, prepareFile, syncFolder } from "./atomicWrite.ts";
import { noTrueFolder } from "./folder.ts";
import { Refusal } from "./refusal.ts";

/** How many revisions of each notebook are kept. */
export const keptRevisions = 50;

const idPattern = /^(\d{6,12})-([0-9a-f]{16})$/;

/** Revision of a notebook text: equal texts have equal revisions, wherever they were written. */
export function revisionOf(text: string | Uint8Array): string {
  return createHash("sha256").update(text).digest("hex").slice(0, 16);
}

/** The same, beside other work, for texts that are large. */
export async function revisionBeside(bytes: Uint8Array): Promise<string> {
  const digest = await webcrypto.subtle.digest("SHA-256", bytes as Uint8Array<ArrayBuffer>);
  return Buffer.from(digest).toString("hex").slice(0, 16);
}

/** Keeps a state unless the newest kept one is the same, and drops the oldest beyond `keptRevisions`. */
export async function keepRevision(
  folder: string,
  text: string | Uint8Array,
  temporaryFolder: string,
): Promise<void> {
  const prepared = await prepareRevision(folder, text, revisionOf(text), temporaryFolder);
  try {
    await prepared.keep();
    await syncFolder(folder);
  } finally {
    await prepared.discard();
  }
}

/** A state on its way to being kept. */
export interface PreparedRevision {
  /** Revision of the newest state kept before. */
  readonly newest: string | undefined;
  /** As `begun` of a prepared file. */
  readonly begun: Promise<void>;
  /** To make it last, sync the folder. */
  keep(): Promise<void>;
  discard(): Promise<void>;
}

/** Begins to write a state that may have to be kept. Nothing may be kept in between. */
export async function prepareRevision(
  folder: string,
  text: string | Uint8Array,
  revision: string,
  temporaryFolder: string,
): Promise<PreparedRevision> {
  const ids = await revisionIds(folder);
  await mkdir(folder, { recursive: true });
  const [, number = "0", newest] = ids.at(-1)?.match(idPattern) ?? [];
  const id = `${String(Number(number) + 1).padStart(6, "0")}-${revision}`;
  const file =
    newest === revision ? undefined : prepareFile(join(folder, `${id}.json`), text, temporaryFolder);
  return {
    newest,
    begun: file?.begun ?? Promise.resolve(),
    async keep() {
      if (file) {
        await file.create();
        ids.push(id);
      }
      for (const old of ids.slice(0, -keptRevisions)) await rm(join(folder, `${old}.json`), { force: true });
    },
    discard: async () => file?.discard(),
  };
}

/** Kept states, newest first. */
export async function listRevisions(folder: string): Promise<RevisionEntry[]> {
  const entries: RevisionEntry[] = [];
  for (const id of (await revisionIds(folder)).reverse()) {
    const { mtime, size } = await lstat(join(folder, `${id}.json`));
    entries.push({ id, saved: mtime.toISOString(), size, revision: id.slice(id.indexOf("-") + 1) });
  }
  return entries;
}

/**
 * Text of a kept state, or undefined when there is none.
 *
 * @throws Refusal (422) when the file is not what was kept: its name says what its content has to be
 */
export async function readRevision(folder: string, id: string): Promise<string | undefined> {
  if (!(await revisionIds(folder)).includes(id)) return undefined;
  const text = await readFile(join(folder, `${id}.json`), "utf8");
  if (revisionOf(text) !== id.slice(id.indexOf("-") + 1)) {
    throw new Refusal(
      422,
      `The revision "${id}" is damaged: its file was changed or cut short after it was kept. Take another one.`,
    );
  }
  return text;
}

/** Whether the newest kept state is this text, but for how the notebook is looked at. */
export async function isKeptWork(folder: string, text: string): Promise<boolean> {
  const [newest] = await listRevisions(folder);
  const kept = newest && (await readRevision(folder, newest.id).catch(() => undefined));
  return kept !== undefined && sameWorkText(kept, text);
}

/** Moves the kept states of a notebook along with it; nothing happens when there are none. */
export async function moveRevisions(from: string, to: string): Promise<void> {
  try {
    await rename(from, to);
  } catch (error) {
    if (codeOf(error) !== "ENOENT") throw error;
    return;
  }
  await syncFolder(join(to, ".."));
}

/**
 * Oldest first. Only true files in a true folder count: a link could lead writes out of the notebook folder.
 *
 * @throws Refusal (403) when something else stands in the place of the folder
 */
async function revisionIds(folder: string): Promise<string[]> {
  const status = await lstat(folder).catch((error) => {
    if (codeOf(error) === "ENOENT") return undefined;
    throw error;
  });
  if (!status) return [];
  if (!status.isDirectory()) throw noTrueFolder(folder);
  const entries = await readdir(folder, { withFileTypes: true }).catch((error) => {
    if (codeOf(error) === "ENOENT") return [];
    throw error;
  });
  return entries
    .filter((entry) => entry.isFile() && entry.name.endsWith(".json"))
    .map((entry) => entry.name.slice(0, -".json".length))
    .filter((id) => idPattern.test(id))
    .sort((a, b) => Number(a.split("-")[0]) - Number(b.split("-")[0]));
}
