import { readFile } from "node:fs/promises";
import type {
  BinEntry,
  NotebookChange,
  NotebookEntry,
  RevisionEntry,
  StoredNotebook,
} from "../document/served.ts";
import { writeAtomically } from "./atomicWrite.ts";
import { listBin, nameInBin } from "./bin.ts";
import { isFull } from "./diskTrouble.ts";
import { FolderIndex } from "./folderIndex.ts";
import { type FolderReadiness, readinessOf } from "./folderKeeper.ts";
import { parseGuardedJson } from "./guardedJson.ts";
import { conflict } from "./notebookFile.ts";
import { NotebookFiles, type NotebookFilesOptions, type Present } from "./notebookFiles.ts";
import { checkName, nameFromTitle } from "./notebookName.ts";
import { FolderQueue } from "./queue.ts";
import { Refusal } from "./refusal.ts";
import { listRevisions } from "./revisions.ts";

interface StoreOptions extends NotebookFilesOptions {
  /** Example notebooks, name → text, copied in once each. */
  examples: Record<string, string>;
  /** Left out for a folder that nobody else uses. */
  readiness?: FolderReadiness;
  onChange?: (change: NotebookChange) => void;
}

/**
 * Notebooks as files in one folder. Every operation runs after the one before it has ended, and refuses with a
 * `Refusal` instead of overwriting something it was not asked to.
 */
export class NotebookStore {
  /** Path of the folder. */
  readonly folder: string;
  readonly #files: NotebookFiles;
  readonly #index: FolderIndex<NotebookEntry, string>;
  readonly #queue: FolderQueue;

  private constructor(options: StoreOptions) {
    const files = new NotebookFiles(options);
    this.folder = options.places.root;
    this.#files = files;
    this.#queue = new FolderQueue(options.readiness ?? readinessOf(options.places));
    this.#index = new FolderIndex({
      names: () => files.names(),
      pathOf: (name) => files.pathOf(name),
      entryOf: (name, status) => files.entryOf(name, status as { mtime: Date; size: number }),
      stateOf: ({ revision }) => revision,
      onChange: (name, revision, outside, client) => options.onChange?.({ name, revision, outside, client }),
    });
  }

  /** Takes a folder into use, and copies in the examples that it has not had yet. */
  static async open(options: StoreOptions): Promise<NotebookStore> {
    const store = new NotebookStore(options);
    await store.#files.heal();
    try {
      await store.#queue.writing(() => store.#copyExamples(options.examples));
    } catch (error) {
      // Without room for the examples, the notebooks that are there can be read all the same.
      if (!isFull(error)) throw error;
    }
    await store.#index.learn();
    return store;
  }

  list(): Promise<NotebookEntry[]> {
    return this.#queue.reading(async () =>
      (await this.#index.list()).sort((a, b) => a.name.localeCompare(b.name, "en")),
    );
  }

  open(name: string): Promise<StoredNotebook> {
    return this.#queue.reading(() => this.#files.read(checkName(name)));
  }

  /**
   * Writes a notebook that was read at the revision `basedOn`.
   *
   * @param bytes the text in UTF-8, where that is at hand
   * @throws Refusal 409 with the present text and revision when the file has changed since
   */
  save(
    name: string,
    text: string,
    basedOn: unknown,
    client?: string,
    bytes?: Uint8Array,
  ): Promise<StoredNotebook> {
    return this.#queue.writing(async () => {
      name = checkName(name);
      if (typeof basedOn !== "string")
        throw new Refusal(400, "The field basedOn (the revision read) is missing.");
      const mayReplace = (present: Present, revision: string) => {
        if (present.revision === revision) return false; // already there: a repeated request
        if (present.revision !== basedOn) throw conflict(present.notebook());
        return true;
      };
      return this.#replace(name, text, mayReplace, client, bytes);
    });
  }

  /** Writes a new notebook under the given name, or under a free name made from its title. */
  create(name: string | undefined, text: string, client?: string): Promise<StoredNotebook> {
    return this.#queue.writing(async () => {
      this.#files.check(text, "The notebook");
      if (name !== undefined) return this.#create(checkName(name), text, client);
      const { title } = parseGuardedJson(text, "The notebook") as { title?: unknown };
      const free = await this.#files.freeName(nameFromTitle(typeof title === "string" ? title : ""));
      return this.#create(free, text, client);
    });
  }

  rename(name: string, to: string, client?: string): Promise<StoredNotebook> {
    return this.#queue.writing(async () => {
      name = checkName(name);
      to = checkName(to);
      const present = await this.#files.read(name);
      if (name === to) return present;
      const moved = await this.#files.rename(name, to);
      this.#index.tell(name, null, client);
      this.#index.tell(to, moved.revision, client);
      return moved;
    });
  }

  duplicate(name: string, to: string | undefined, client?: string): Promise<StoredNotebook> {
    return this.#queue.writing(async () => {
      const present = await this.#files.read(checkName(name));
      const target = to === undefined ? await this.#files.freeName(present.name) : checkName(to);
      return this.#create(target, present.text, client);
    });
  }

  /** Moves a notebook and its revisions to the bin folder; nothing is erased. */
  remove(name: string, client?: string): Promise<{ name: string; movedTo: string }> {
    return this.#queue.writing(async () => {
      name = checkName(name);
      await this.#files.read(name);
      const movedTo = await this.#files.bin(name);
      this.#index.tell(name, null, client);
      return { name, movedTo };
    });
  }

  /** Notebooks in the bin, last deleted first. */
  bin(): Promise<BinEntry[]> {
    return this.#queue.reading(() => listBin(this.#files.places.bin));
  }

  /** Brings a notebook and its revisions back from the bin, under its name or, where that is taken, a free one. */
  restoreFromBin(id: string, client?: string): Promise<StoredNotebook> {
    return this.#queue.writing(async () => {
      const name = nameInBin(id);
      const entry = (await listBin(this.#files.places.bin)).find((other) => other.id === id);
      if (name === undefined || !entry)
        throw new Refusal(
          404,
          "There is no such notebook in the bin. It may have been brought back already.",
        );
      const restored = await this.#files.bringBack(id, await this.#files.freeName(name));
      this.#index.tell(restored.name, restored.revision, client);
      return restored;
    });
  }

  revisions(name: string): Promise<RevisionEntry[]> {
    return this.#queue.reading(async () => {
      const present = await this.#files.read(checkName(name));
      return listRevisions(this.#files.revisionsOf(present.name));
    });
  }

  readRevision(name: string, id: string): Promise<{ name: string; id: string; text: string }> {
    return this.#queue.reading(async () => {
      const present = await this.#files.read(checkName(name));
      return { name: present.name, id, text: await this.#files.readRevision(present.name, id) };
    });
  }

  /** Makes a kept state the present one; the state before it stays among the revisions. */
  restore(name: string, id: string, basedOn: unknown, client?: string): Promise<StoredNotebook> {
    return this.#queue.writing(async () => {
      name = (await this.#files.read(checkName(name))).name;
      const text = await this.#files.readRevision(name, id);
      const mayReplace = (present: Present, revision: string) => {
        if (basedOn !== undefined && basedOn !== present.revision) throw conflict(present.notebook());
        return present.revision !== revision;
      };
      return this.#replace(name, text, mayReplace, client);
    });
  }

  /** Compares the folder with what this server knows and tells what other programs have changed. */
  scan(): Promise<void> {
    return this.#queue.reading(async () => {
      await this.#files.tend();
      await this.#index.scan();
    });
  }

  /** Ends when everything asked before has been written. */
  settled(): Promise<void> {
    return this.#queue.settled();
  }

  async #replace(
    name: string,
    text: string,
    mayReplace: (present: Present, revision: string) => boolean,
    client?: string,
    bytes?: Uint8Array,
  ): Promise<StoredNotebook> {
    const { notebook, listed } = await this.#files.replace(name, text, mayReplace, bytes);
    if (listed) {
      this.#index.put(listed.stamp, listed.entry);
      this.#index.tell(name, notebook.revision, client);
    }
    return notebook;
  }

  async #create(name: string, text: string, client?: string): Promise<StoredNotebook> {
    const written = await this.#files.create(name, text);
    this.#index.tell(name, written.revision, client);
    return written;
  }

  async #copyExamples(examples: Record<string, string>): Promise<void> {
    const { places } = this.#files;
    const copied = namesIn(await readFile(places.examples, "utf8").catch(() => "[]"));
    const fresh = Object.keys(examples).filter((name) => !copied.includes(name));
    if (fresh.length === 0) return;
    for (const name of fresh) {
      checkName(name);
      if (!(await this.#files.isTaken(name))) await this.#create(name, examples[name]);
    }
    await writeAtomically(places.examples, JSON.stringify([...copied, ...fresh]), places.temporary);
  }
}

function namesIn(text: string): string[] {
  try {
    const names = JSON.parse(text);
    return Array.isArray(names) ? names : [];
  } catch {
    return [];
  }
}
