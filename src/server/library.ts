import type { Dirent } from "node:fs";
import { lstat, readdir, rename } from "node:fs/promises";
import { join } from "node:path";
import {
  checkLibraryItem,
  type ItemVersion,
  type LibraryItem,
  latestVersion,
  libraryFormat,
  libraryFormatVersion,
  mostVersions,
  serialiseLibraryItem,
} from "../document/libraryItem.ts";
import { sameValue } from "../document/sameValue.ts";
import { AlreadyThere, createAtomically, syncFolder, writeAtomically } from "./atomicWrite.ts";
import { binNameOf } from "./bin.ts";
import type { FolderPlaces } from "./folder.ts";
import { parseGuardedJson } from "./guardedJson.ts";
import { largestNotebook, readNotebookFile, stampOf } from "./notebookFile.ts";
import { checkName, freeName, isName, nameFromTitle } from "./notebookName.ts";
import { createQueue } from "./queue.ts";
import { Refusal } from "./refusal.ts";

/** Ending of the files of the library. */
export const itemEnding = ".bole-item.json";

/** An item in the list. `problem` says why it cannot be read. */
export interface LibraryEntry {
  name: string;
  kind: string;
  title: string;
  /** Number of the latest version. */
  latest: number;
  saved: string;
  versions: number;
  problem?: string;
}

/** Told after each change of an item. `latest` is null when the item is gone. */
export interface LibraryChange {
  name: string;
  latest: number | null;
  client?: string;
}

export interface LibraryOptions {
  places: FolderPlaces;
  onChange?: (change: LibraryChange) => void;
  now?: () => Date;
}

/** A cell to be kept in the library. */
export interface GivenVersion {
  title: string;
  note: string;
  parameters: Record<string, unknown>;
}

export type Library = ReturnType<typeof createLibrary>;

/**
 * Cells that many notebooks use: one file for each with every version it has had, in a folder beside the notebooks.
 * Versions are only added; a notebook that uses one keeps its own copy, so nothing depends on the library.
 */
export function createLibrary({ places, onChange, now = () => new Date() }: LibraryOptions) {
  const inTurn = createQueue();
  const listed = new Map<string, { stamp: string; entry: LibraryEntry }>();
  const known = new Map<string, number>();

  const pathOf = (name: string) => join(places.library, name + itemEnding);

  function tell(name: string, latest: number | null, client?: string): void {
    if (latest === null) known.delete(name);
    else known.set(name, latest);
    onChange?.({ name, latest, client });
  }

  async function read(name: string): Promise<LibraryItem> {
    const found = await readNotebookFile(pathOf(name), name).catch((error) => {
      if (error instanceof Refusal && error.status === 404)
        throw new Refusal(404, `There is no item "${name}" in the library.`);
      throw error;
    });
    return checked(parseGuardedJson(found.text, `The library item "${name}"`), name);
  }

  async function write(name: string, item: LibraryItem, isNew: boolean): Promise<void> {
    const text = serialiseLibraryItem(checked(item, name));
    if (Buffer.byteLength(text) > largestNotebook) {
      throw new Refusal(
        413,
        `The library item "${name}" would be larger than 20 MB. Save it under another name.`,
      );
    }
    if (!isNew) return writeAtomically(pathOf(name), text, places.temporary);
    try {
      await createAtomically(pathOf(name), text, places.temporary);
    } catch (error) {
      if (error instanceof AlreadyThere) throw taken(name);
      throw error;
    }
  }

  function checked(value: unknown, name: string): LibraryItem {
    try {
      return checkLibraryItem(value);
    } catch (error) {
      throw new Refusal(422, `The library item "${name}" cannot be used: ${(error as Error).message}`);
    }
  }

  function versionOf(given: GivenVersion, number: number): ItemVersion {
    return { number, saved: now().toISOString(), ...given };
  }

  async function names(): Promise<string[]> {
    const files: Dirent[] = await readdir(places.library, { withFileTypes: true });
    return files
      .filter((file) => file.isFile() && file.name.endsWith(itemEnding))
      .map((file) => file.name.slice(0, -itemEnding.length))
      .filter(isName);
  }

  async function entryOf(name: string): Promise<LibraryEntry | undefined> {
    const status = await lstat(pathOf(name)).catch(() => undefined);
    if (!status?.isFile()) return undefined;
    const stamp = stampOf(status);
    const before = listed.get(name);
    if (before?.stamp === stamp) return before.entry;
    let entry: LibraryEntry;
    try {
      const item = await read(name);
      const { number, title, saved } = latestVersion(item);
      entry = { name, kind: item.kind, title, latest: number, saved, versions: item.versions.length };
    } catch (error) {
      const problem = error instanceof Error ? error.message : String(error);
      entry = { name, kind: "", title: name, latest: 0, saved: "", versions: 0, problem };
    }
    listed.set(name, { stamp, entry });
    return entry;
  }

  async function list(): Promise<LibraryEntry[]> {
    const entries = await Promise.all((await names()).map(entryOf));
    return entries
      .filter((entry) => entry !== undefined)
      .sort((a, b) => a.title.localeCompare(b.title, "en") || a.name.localeCompare(b.name, "en"));
  }

  return {
    list: () => inTurn(list),

    open: (name: string) =>
      inTurn(async () => {
        name = checkName(name);
        return { name, item: await read(name) };
      }),

    /** Keeps a cell as a new item, under the given name or a free one made from its title. */
    create: (name: string | undefined, kind: string, given: GivenVersion, client?: string) =>
      inTurn(async () => {
        if (name === undefined) {
          const used = new Set((await names()).map((other) => other.toLowerCase()));
          name = freeName(nameFromTitle(given.title), (candidate) => used.has(candidate.toLowerCase()));
        }
        name = checkName(name);
        const item: LibraryItem = {
          format: libraryFormat,
          version: libraryFormatVersion,
          kind,
          versions: [versionOf(given, 1)],
        };
        await write(name, item, true);
        tell(name, 1, client);
        return { name, version: 1 };
      }),

    /**
     * Adds a version to an item.
     *
     * @param basedOn number of the version that the cell was taken from; a later one is a conflict
     */
    addVersion: (name: string, kind: string, given: GivenVersion, basedOn: unknown, client?: string) =>
      inTurn(async () => {
        name = checkName(name);
        const item = await read(name);
        const latest = latestVersion(item);
        if (item.kind !== kind)
          throw new Refusal(409, `"${name}" in the library is another kind of cell (${item.kind}).`, {
            kind: item.kind,
          });
        if (sameValue(latest.parameters, given.parameters) && latest.title === given.title)
          return { name, version: latest.number }; // there already: a repeated request
        if (basedOn !== latest.number)
          throw new Refusal(
            409,
            `"${name}" has version ${latest.number} by now. Look at it first, then save yours on top of it.`,
            { latest: latest.number },
          );
        if (item.versions.length >= mostVersions)
          throw new Refusal(409, `"${name}" has ${mostVersions} versions. Save it under another name.`);
        const number = latest.number + 1;
        await write(name, { ...item, versions: [...item.versions, versionOf(given, number)] }, false);
        tell(name, number, client);
        return { name, version: number };
      }),

    /** Moves an item to the bin folder; notebooks that use it keep their copies. */
    remove: (name: string, client?: string) =>
      inTurn(async () => {
        name = checkName(name);
        if (!(await names()).includes(name))
          throw new Refusal(404, `There is no item "${name}" in the library.`);
        const target = join(places.bin, binNameOf(name, now()) + itemEnding);
        await rename(pathOf(name), target);
        await Promise.all([syncFolder(places.bin), syncFolder(places.library)]);
        tell(name, null, client);
        return { name, movedTo: target };
      }),

    /** Tells what other programs have changed. */
    scan: () =>
      inTurn(async () => {
        const present = new Map((await list()).map((entry) => [entry.name, entry.latest]));
        for (const name of [...known.keys()]) if (!present.has(name)) tell(name, null);
        for (const [name, latest] of present) if (known.get(name) !== latest) tell(name, latest);
      }),

    settled: () => inTurn(async () => undefined),
  };
}

function taken(name: string): Refusal {
  return new Refusal(409, `There is already an item "${name}" in the library. Choose another name.`, {
    taken: name,
  });
}
