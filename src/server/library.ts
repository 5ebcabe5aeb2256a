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
import { AlreadyThere, createAtomically, syncFolder, writeAtomically } from "./atomicWrite.ts";
import { binNameOf } from "./bin.ts";
import type { FolderPlaces } from "./folder.ts";
import { FolderIndex } from "./folderIndex.ts";
import { parseGuardedJson } from "./guardedJson.ts";
import { largestNotebook, readNotebookFile } from "./notebookFile.ts";
import { checkName, freeName, isName, nameFromTitle } from "./notebookName.ts";
import { createQueue } from "./queue.ts";
import { Refusal } from "./refusal.ts";

/** Ending of the files of the library. */
const itemEnding = ".bole-item.json";

/**
 * Cells that many notebooks use: one file for each with every version it has had, in a folder beside the notebooks.
 * Versions are only added; a notebook that uses one keeps its own copy, so nothing depends on the library.
 */
export class Library {
  readonly #places: FolderPlaces;
  readonly #index: FolderIndex<LibraryEntry, number>;
  readonly #inTurn = createQueue();

  constructor(places: FolderPlaces, onChange: (change: LibraryChange) => void) {
    this.#places = places;
    this.#index = new FolderIndex({
      names: () => this.#names(),
      pathOf: (name) => this.#pathOf(name),
      entryOf: (name) => this.#entryOf(name),
      stateOf: ({ latest }) => latest,
      onChange: (name, latest, _, client) => onChange({ name, latest, client }),
    });
  }

  list(): Promise<LibraryEntry[]> {
    return this.#inTurn(async () =>
      (await this.#index.list()).sort(
        (a, b) => a.title.localeCompare(b.title, "en") || a.name.localeCompare(b.name, "en"),
      ),
    );
  }

  open(name: string): Promise<{ name: string; item: LibraryItem }> {
    return this.#inTurn(async () => {
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
    return this.#inTurn(async () => {
      if (name === undefined) {
        const used = new Set((await this.#names()).map((other) => other.toLowerCase()));
        name = freeName(nameFromTitle(cell.title), (candidate) => used.has(candidate.toLowerCase()));
      }
      name = checkName(name);
      const item: LibraryItem = {
        format: libraryFormat,
        version: libraryFormatVersion,
        kind: cell.kind,
        versions: [versionOf(cell, 1)],
      };
      await this.#write(name, item, true);
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
    return this.#inTurn(async () => {
      name = checkName(name);
      const item = await this.#read(name);
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
      await this.#write(name, { ...item, versions: [...item.versions, versionOf(cell, version)] }, false);
      this.#index.tell(name, version, client);
      return { name, version };
    });
  }

  /** Moves an item to the bin folder; notebooks that use it keep their copies. */
  remove(name: string, client?: string): Promise<{ name: string; movedTo: string }> {
    return this.#inTurn(async () => {
      name = checkName(name);
      if (!(await this.#names()).includes(name)) throw noItem(name);
      const movedTo = join(this.#places.bin, binNameOf(name, new Date()) + itemEnding);
      await rename(this.#pathOf(name), movedTo);
      await Promise.all([syncFolder(this.#places.bin), syncFolder(this.#places.library)]);
      this.#index.tell(name, null, client);
      return { name, movedTo };
    });
  }

  /** Tells what other programs have changed. */
  scan(): Promise<void> {
    return this.#inTurn(() => this.#index.scan());
  }

  /** Ends when everything asked before has been written. */
  settled(): Promise<void> {
    return this.#inTurn(async () => undefined);
  }

  #pathOf(name: string): string {
    return join(this.#places.library, name + itemEnding);
  }

  async #names(): Promise<string[]> {
    const files = await readdir(this.#places.library, { withFileTypes: true });
    return files
      .filter((file) => file.isFile() && file.name.endsWith(itemEnding))
      .map((file) => file.name.slice(0, -itemEnding.length))
      .filter(isName);
  }

  async #read(name: string): Promise<LibraryItem> {
    const { text } = await readNotebookFile(this.#pathOf(name), name).catch((error) => {
      throw error instanceof Refusal && error.status === 404 ? noItem(name) : error;
    });
    return checked(parseGuardedJson(text, `The library item "${name}"`), name);
  }

  async #write(name: string, item: LibraryItem, isNew: boolean): Promise<void> {
    const text = serialiseLibraryItem(checked(item, name));
    if (Buffer.byteLength(text) > largestNotebook) {
      throw new Refusal(
        413,
        `The library item "${name}" would be larger than 20 MB. Save it under another name.`,
      );
    }
    const put = isNew ? createAtomically : writeAtomically;
    try {
      await put(this.#pathOf(name), text, this.#places.temporary);
    } catch (error) {
      throw error instanceof AlreadyThere ? itemTaken(name) : error;
    }
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
