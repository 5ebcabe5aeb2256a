import { readdir, rename } from "node:fs/promises";
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
import type { CellToKeep, LibraryChange, LibraryEntry } from "../document/served.ts";
import { messageOf } from "../graph/messageOf.ts";
import { AsideFiles, type ReadState } from "./asideFiles.ts";
import { AlreadyThere, codeOf, createAtomically, prepareFile, syncFolder } from "./atomicWrite.ts";
import { binNameOf } from "./bin.ts";
import { toldTruly } from "./diskTrouble.ts";
import type { FolderPlaces } from "./folder.ts";
import { FolderIndex } from "./folderIndex.ts";
import { type FolderReadiness, readinessOf } from "./folderKeeper.ts";
import { parseGuardedJson } from "./guardedJson.ts";
import { largestNotebook, readNotebookFile } from "./notebookFile.ts";
import { checkName, foldedName, freeName, isName, nameFromTitle } from "./notebookName.ts";
import { FolderQueue } from "./queue.ts";
import { Refusal } from "./refusal.ts";
import { revisionOf } from "./revisions.ts";

/** Ending of the files of the library. */
const itemEnding = ".bole-item.json";

interface LibraryOptions {
  places: FolderPlaces;
  /** Left out for a folder that nobody else uses. */
  readiness?: FolderReadiness;
  onChange: (change: LibraryChange) => void;
}

/**
 * Cells that many notebooks use: one file for each with every version it has had, in a folder beside the notebooks.
 * Versions are only added; a notebook that uses one keeps its own copy, so nothing depends on the library.
 */
export class Library {
  readonly #places: FolderPlaces;
  readonly #index: FolderIndex<LibraryEntry, number>;
  readonly #aside: AsideFiles;
  readonly #queue: FolderQueue;

  private constructor({ places, readiness = readinessOf(places), onChange }: LibraryOptions) {
    this.#places = places;
    this.#queue = new FolderQueue(readiness);
    this.#aside = new AsideFiles({
      folder: places.aside,
      ending: itemEnding,
      pathOf: (name) => this.#pathOf(name),
      keep: (name, bytes) => createAtomically(this.#binned(name) + itemEnding, bytes, places.temporary),
      binned: (name) => this.#binned(name),
    });
    this.#index = new FolderIndex({
      names: () => this.#names(),
      pathOf: (name) => this.#pathOf(name),
      entryOf: (name) => this.#entryOf(name),
      stateOf: ({ latest }) => latest,
      onChange: (name, latest, _, client) => onChange({ name, latest, client }),
    });
  }

  /** Takes the library of a folder into use. */
  static async open(options: LibraryOptions): Promise<Library> {
    const library = new Library(options);
    await library.#aside.heal();
    await library.#index.scan();
    return library;
  }

  list(): Promise<LibraryEntry[]> {
    return this.#queue.reading(async () =>
      (await this.#index.list()).sort(
        (a, b) => a.title.localeCompare(b.title, "en") || a.name.localeCompare(b.name, "en"),
      ),
    );
  }

  open(name: string): Promise<{ name: string; item: LibraryItem }> {
    return this.#queue.reading(async () => {
      name = checkName(name);
      return { name, item: await this.#read(name) };
    });
  }

  /** Keeps a cell as a new item, under the given name or a free one made from its title. */
  create(
    name: string | undefined,
    cell: CellToKeep,
    client?: string,
  ): Promise<{ name: string; version: number }> {
    return this.#queue.writing(async () => {
      if (name === undefined) {
        const used = new Set((await this.#names()).map(foldedName));
        name = freeName(nameFromTitle(cell.title), (candidate) => used.has(foldedName(candidate)));
      }
      name = checkName(name);
      const item: LibraryItem = {
        format: libraryFormat,
        version: libraryFormatVersion,
        kind: cell.kind,
        versions: [versionOf(cell, 1)],
      };
      const folded = foldedName(name);
      if ((await this.#names()).some((other) => foldedName(other) === folded)) throw itemTaken(name);
      await this.#write(name, item);
      this.#index.tell(name, 1, client);
      return { name, version: 1 };
    });
  }

  /**
   * Adds a version to an item.
   *
   * @param basedOn number of the version that the cell was taken from; a later one is a conflict
   */
  addVersion(
    name: string,
    cell: CellToKeep,
    basedOn: unknown,
    client?: string,
  ): Promise<{ name: string; version: number }> {
    return this.#queue.writing(async () => {
      name = checkName(name);
      const { item, read } = await this.#readWithState(name);
      const { kind } = item;
      const latest = latestVersion(item);
      if (kind !== cell.kind)
        throw new Refusal(409, `"${name}" in the library is another kind of cell (${kind}).`, { kind });
      if (sameValue(latest.parameters, cell.parameters) && latest.title === cell.title)
        return { name, version: latest.number }; // there already: a repeated request
      if (basedOn !== latest.number)
        throw new Refusal(
          409,
          `"${name}" has version ${latest.number} by now. Look at it first, then save yours on top of it.`,
          { latest: latest.number },
        );
      if (item.versions.length >= mostVersions)
        throw new Refusal(409, `"${name}" has ${mostVersions} versions. Save it under another name.`);
      const version = latest.number + 1;
      await this.#write(name, { ...item, versions: [...item.versions, versionOf(cell, version)] }, read);
      this.#index.tell(name, version, client);
      return { name, version };
    });
  }

  /** Moves an item to the bin folder; notebooks that use it keep their copies. */
  remove(name: string, client?: string): Promise<{ name: string; movedTo: string }> {
    return this.#queue.writing(async () => {
      name = checkName(name);
      if (!(await this.#names()).includes(name)) throw noItem(name);
      const movedTo = this.#binned(name) + itemEnding;
      const look = async () => {
        const isThere = (await this.#names()).includes(name);
        const words = `"${name}" is ${isThere ? "still in the library" : "in the bin all the same"}.`;
        return { words, done: !isThere };
      };
      await toldTruly(look, async () => {
        await rename(this.#pathOf(name), movedTo);
        await Promise.all([syncFolder(this.#places.bin), syncFolder(this.#places.library)]);
      });
      this.#index.tell(name, null, client);
      return { name, movedTo };
    });
  }

  /** Tells what other programs have changed. */
  scan(): Promise<void> {
    return this.#queue.reading(async () => {
      await this.#aside.tend();
      await this.#index.scan();
    });
  }

  /** Ends when everything asked before has been written. */
  settled(): Promise<void> {
    return this.#queue.settled();
  }

  #pathOf(name: string): string {
    return join(this.#places.library, name + itemEnding);
  }

  async #names(): Promise<string[]> {
    const files = await readdir(this.#places.library, { withFileTypes: true }).catch((error) => {
      if (codeOf(error) === "ENOENT") return []; // nothing was ever kept
      throw error;
    });
    return files
      .filter((file) => file.isFile() && file.name.endsWith(itemEnding))
      .map((file) => file.name.slice(0, -itemEnding.length))
      .filter(isName);
  }

  async #read(name: string): Promise<LibraryItem> {
    return (await this.#readWithState(name)).item;
  }

  async #readWithState(name: string): Promise<{ item: LibraryItem; read: ReadState }> {
    const { text, stamp } = await readNotebookFile(this.#pathOf(name), name).catch((error) => {
      throw error instanceof Refusal && error.status === 404 ? noItem(name) : error;
    });
    const item = checked(parseGuardedJson(text, `The library item "${name}"`), name);
    return { item, read: { revision: revisionOf(text), stamp } };
  }

  /** @param read the state of the file that is replaced; undefined for a new one */
  async #write(name: string, item: LibraryItem, read?: ReadState): Promise<void> {
    const text = serialiseLibraryItem(checked(item, name));
    if (Buffer.byteLength(text) > largestNotebook) {
      throw new Refusal(
        413,
        `The library item "${name}" would be larger than 20 MB. Save it under another name.`,
      );
    }
    const look = async () => {
      const present = await this.#readWithState(name).catch((error) => {
        if (error instanceof Refusal && error.status === 404) return undefined;
        throw error;
      });
      const done = present?.read.revision === revisionOf(text);
      const before = read
        ? `"${name}" in the library is as it was before.`
        : `Nothing was kept as "${name}".`;
      return { words: done ? `"${name}" was kept in the library all the same.` : before, done };
    };
    await toldTruly(look, () => this.#put(name, text, read));
  }

  async #put(name: string, text: string, read: ReadState | undefined): Promise<void> {
    const path = this.#pathOf(name);
    const file = prepareFile(path, text, this.#places.temporary);
    try {
      if (!read) await file.create();
      else if (!(await this.#aside.swap(name, file, read)))
        throw new Refusal(
          409,
          `"${name}" in the library was changed by another program this very moment. Nothing was overwritten.`,
        );
      await syncFolder(this.#places.library);
    } catch (error) {
      throw error instanceof AlreadyThere ? itemTaken(name) : error;
    } finally {
      await file.discard();
    }
  }

  /** Path in the bin, without ending, for an item that goes there now. */
  #binned(name: string): string {
    return join(this.#places.bin, binNameOf(name, new Date()));
  }

  async #entryOf(name: string): Promise<LibraryEntry> {
    try {
      const item = await this.#read(name);
      const { number, title, saved } = latestVersion(item);
      return { name, kind: item.kind, title, latest: number, saved, versions: item.versions.length };
    } catch (error) {
      return { name, kind: "", title: name, latest: 0, saved: "", versions: 0, problem: messageOf(error) };
    }
  }
}

function versionOf({ title, note, parameters }: CellToKeep, number: number): ItemVersion {
  return { number, saved: new Date().toISOString(), title, note, parameters };
}

function checked(value: unknown, name: string): LibraryItem {
  try {
    return checkLibraryItem(value);
  } catch (error) {
    throw new Refusal(422, `The library item "${name}" cannot be used: ${messageOf(error)}`);
  }
}

function noItem(name: string): Refusal {
  return new Refusal(404, `There is no item "${name}" in the library.`);
}

function itemTaken(name: string): Refusal {
  return new Refusal(409, `There is already an item "${name}" in the library. Choose another name.`, {
    taken: name,
  });
}
