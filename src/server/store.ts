import { lstat, readdir, readFile, rename } from "node:fs/promises";
import { join } from "node:path";
import { notebookNesting } from "../document/notebook.ts";
import {
  AlreadyThere,
  codeOf,
  createAtomically,
  prepareFile,
  syncFolder,
  writeAtomically,
} from "./atomicWrite.ts";
import { binNameOf, listBin, nameInBin } from "./bin.ts";
import type { FolderPlaces } from "./folder.ts";
import { parseGuardedJson } from "./guardedJson.ts";
import {
  largestNotebook,
  noNotebook,
  readNotebookBytes,
  readNotebookFile,
  stampOf,
  textOfFile,
} from "./notebookFile.ts";
import { checkName, fileEnding, freeName, nameFromTitle, nameOfFile } from "./notebookName.ts";
import { createQueue } from "./queue.ts";
import { Refusal } from "./refusal.ts";
import {
  keepRevision,
  listRevisions,
  moveRevisions,
  type PreparedRevision,
  prepareRevision,
  type RevisionEntry,
  readRevision,
  revisionBeside,
  revisionOf,
} from "./revisions.ts";

/** A notebook in the list. `problem` says why it cannot be read; it is listed all the same. */
export interface NotebookEntry {
  name: string;
  /** The name when the notebook cannot be read. */
  title: string;
  modified: string;
  size: number;
  revision: string;
  problem?: string;
}

/** A notebook as it stands in its file. */
export interface StoredNotebook {
  name: string;
  text: string;
  revision: string;
  modified: string;
}

interface Present {
  readonly revision: string;
  readonly stamp: string;
  notebook(): StoredNotebook;
}

/** Told after each change of a notebook file. `revision` is null when the file is gone. */
export interface NotebookChange {
  name: string;
  revision: string | null;
  /** True when another program made the change. */
  outside: boolean;
  /** Mark of the page that asked for the change, if it gave one. */
  client?: string;
}

export interface StoreOptions {
  places: FolderPlaces;
  /** Throws with a message that names the field when the text is no notebook; `value` is what the text says. */
  validate: (text: string, value?: unknown) => void;
  /** Example notebooks, name → text, copied in once each. */
  examples: Record<string, string>;
  onChange?: (change: NotebookChange) => void;
  now?: () => Date;
}

export type NotebookStore = Awaited<ReturnType<typeof createStore>>;

/**
 * Notebooks as files in one folder. Every operation runs after the one before it has ended, and refuses with a
 * `Refusal` instead of overwriting something it was not asked to.
 */
export async function createStore({
  places,
  validate,
  examples,
  onChange,
  now = () => new Date(),
}: StoreOptions) {
  const inTurn = createQueue();
  const known = new Map<string, string>();
  const listed = new Map<string, { stamp: string; entry: NotebookEntry }>();

  const pathOf = (name: string) => join(places.root, name + fileEnding);
  const revisionsOf = (name: string) => join(places.revisions, name);
  const binned = (name: string) => join(places.bin, binNameOf(name, now()));

  function tell(name: string, revision: string | null, outside: boolean, client?: string): void {
    if (revision === null) known.delete(name);
    else known.set(name, revision);
    onChange?.({ name, revision, outside, client });
  }

  async function read(name: string): Promise<StoredNotebook> {
    const { text, modified } = await readNotebookFile(pathOf(name), name);
    return { name, text, revision: revisionOf(text), modified };
  }

  /** The state in the file, whose text is only made where it is needed. */
  async function readPresent(name: string): Promise<Present> {
    const { bytes, modified, stamp } = await readNotebookBytes(pathOf(name), name);
    const revision = await revisionBeside(bytes);
    return { revision, stamp, notebook: () => ({ name, text: textOfFile(bytes, name), revision, modified }) };
  }

  async function isTaken(name: string): Promise<boolean> {
    try {
      await lstat(pathOf(name));
      return true;
    } catch (error) {
      if (codeOf(error) === "ENOENT") return false;
      throw error; // not known: a guess either way could confirm what was not done
    }
  }

  /** @param onTitle told the title, also of a text that is then refused */
  function checkText(
    text: string,
    what: string,
    onTitle?: (title: string) => void,
    bytes: Uint8Array = Buffer.from(text),
  ): void {
    if (bytes.length > largestNotebook) throw new Refusal(413, `${what} is larger than 20 MB.`);
    const value = parseGuardedJson(text, what, bytes, notebookNesting) as { title?: unknown } | null;
    if (typeof value?.title === "string") onTitle?.(value.title);
    try {
      validate(text, value);
    } catch (error) {
      throw new Refusal(422, `${what} is not a notebook: ${error instanceof Error ? error.message : error}`);
    }
  }

  /**
   * Writes the file and keeps the state among the revisions. Both texts go to the disk while they are still being
   * checked; they take their names only when everything is in order, the revision first: once the save is confirmed,
   * two separate files hold it.
   *
   * @param mayReplace looks at the present state; throws when it must not be replaced, gives false when it is the same
   */
  async function writeChecked(
    name: string,
    text: string,
    mayReplace: (present: Present, revision: string) => boolean,
    client?: string,
    bytes: Uint8Array = Buffer.from(text),
  ): Promise<StoredNotebook> {
    if (!(await isTaken(name))) throw noNotebook(name);
    const revision = revisionOf(bytes);
    const file = prepareFile(pathOf(name), bytes, places.temporary);
    let kept: PreparedRevision | undefined;
    try {
      kept = await prepareRevision(revisionsOf(name), bytes, revision, places.temporary);
      const reading = readPresent(name);
      reading.catch(() => undefined); // told below
      await Promise.all([file.begun, kept.begun]);
      let title = name;
      const takeTitle = (found: string) => {
        title = found;
      };
      checkText(text, "The notebook", takeTitle, bytes);
      const present = await reading;
      if (!mayReplace(present, revision)) {
        await syncFolder(places.root); // the earlier request may have failed at just this
        return present.notebook();
      }
      if (kept.newest === present.revision) await kept.keep();
      else {
        // Another program wrote the present state: it is kept before it is replaced.
        await keepRevision(revisionsOf(name), present.notebook().text, places.temporary);
        await keepRevision(revisionsOf(name), text, places.temporary);
      }
      await file.settled;
      if (stampOf(await lstat(pathOf(name))) !== present.stamp) throw conflict(await read(name)); // edited this very moment
      const status = await file.replace();
      await Promise.all([syncFolder(revisionsOf(name)), syncFolder(places.root)]);
      const modified = status.mtime.toISOString();
      const entry = { name, title, modified, size: status.size, revision };
      listed.set(name, { stamp: stampOf(status), entry });
      tell(name, revision, false, client);
      return { name, text, revision, modified };
    } finally {
      await Promise.all([file.discard(), kept?.discard()]);
    }
  }

  async function createFile(name: string, text: string, client?: string): Promise<StoredNotebook> {
    if (await isTaken(name)) throw nameTaken(name);
    await binRevisions(name);
    try {
      await createAtomically(pathOf(name), text, places.temporary);
    } catch (error) {
      if (error instanceof AlreadyThere) throw nameTaken(name);
      throw error;
    }
    await keepRevision(revisionsOf(name), text, places.temporary);
    const written = await read(name);
    tell(name, written.revision, false, client);
    return written;
  }

  /** Revisions of an earlier notebook of this name, whose file was taken away by hand, are not the next one's. */
  async function binRevisions(name: string): Promise<void> {
    await moveRevisions(revisionsOf(name), `${binned(name)}.revisions`);
  }

  async function freeNameOnDisk(name: string): Promise<string> {
    const taken = new Set((await readdir(places.root)).map((file) => file.toLowerCase()));
    return freeName(name, (candidate) => taken.has((candidate + fileEnding).toLowerCase()));
  }

  async function entryOf(name: string): Promise<NotebookEntry | undefined> {
    const status = await lstat(pathOf(name)).catch(() => undefined);
    if (!status?.isFile()) return undefined;
    const stamp = stampOf(status);
    const before = listed.get(name);
    if (before?.stamp === stamp) return before.entry;
    const entry: NotebookEntry = {
      name,
      title: name,
      modified: status.mtime.toISOString(),
      size: status.size,
      revision: "",
    };
    try {
      const { text, revision } = await read(name);
      entry.revision = revision;
      checkText(text, `The file "${name}${fileEnding}"`, (title) => {
        entry.title = title;
      });
    } catch (error) {
      entry.problem = error instanceof Error ? error.message : String(error);
    }
    listed.set(name, { stamp, entry });
    return entry;
  }

  async function list(): Promise<NotebookEntry[]> {
    const entries: NotebookEntry[] = [];
    for (const file of await readdir(places.root)) {
      const name = nameOfFile(file);
      const entry = name === undefined ? undefined : await entryOf(name);
      if (entry) entries.push(entry);
    }
    return entries.sort((a, b) => a.name.localeCompare(b.name, "en"));
  }

  async function copyExamples(): Promise<void> {
    const recorded = await readFile(places.examples, "utf8").catch(() => "[]");
    let copied: string[];
    try {
      copied = JSON.parse(recorded);
      if (!Array.isArray(copied)) copied = [];
    } catch {
      copied = [];
    }
    const fresh = Object.keys(examples).filter((name) => !copied.includes(name));
    if (fresh.length === 0) return;
    for (const name of fresh) {
      checkName(name);
      if (!(await isTaken(name))) await createFile(name, examples[name]);
    }
    await writeAtomically(places.examples, JSON.stringify([...copied, ...fresh]), places.temporary);
  }

  await copyExamples();
  for (const entry of await list()) known.set(entry.name, entry.revision);

  return {
    folder: places.root,

    list: () => inTurn(list),

    open: (name: string) => inTurn(() => read(checkName(name))),

    /**
     * Writes a notebook that was read at the revision `basedOn`.
     *
     * @param bytes the text in UTF-8, where that is at hand
     * @throws Refusal 409 with the present text and revision when the file has changed since
     */
    save: (name: string, text: string, basedOn: unknown, client?: string, bytes?: Uint8Array) =>
      inTurn(async () => {
        name = checkName(name);
        if (typeof basedOn !== "string")
          throw new Refusal(400, "The field basedOn (the revision read) is missing.");
        const mayReplace = (present: Present, revision: string) => {
          if (present.revision === revision) return false; // already there: a repeated request
          if (present.revision !== basedOn) throw conflict(present.notebook());
          return true;
        };
        return writeChecked(name, text, mayReplace, client, bytes);
      }),

    /** Writes a new notebook under the given name, or under a free name made from its title. */
    create: (name: string | undefined, text: string, client?: string) =>
      inTurn(async () => {
        checkText(text, "The notebook");
        if (name !== undefined) return createFile(checkName(name), text, client);
        const { title } = parseGuardedJson(text, "The notebook") as { title?: unknown };
        return createFile(
          await freeNameOnDisk(nameFromTitle(typeof title === "string" ? title : "")),
          text,
          client,
        );
      }),

    rename: (name: string, to: string, client?: string) =>
      inTurn(async () => {
        name = checkName(name);
        to = checkName(to);
        const present = await read(name);
        if (name === to) return present;
        const onlyCase = name.toLowerCase() === to.toLowerCase();
        if (!onlyCase && (await isTaken(to))) throw nameTaken(to);
        if (onlyCase && (await readdir(places.root)).includes(to + fileEnding)) throw nameTaken(to);
        if (!onlyCase) await binRevisions(to);
        await rename(pathOf(name), pathOf(to));
        await syncFolder(places.root);
        await moveRevisions(revisionsOf(name), revisionsOf(to));
        tell(name, null, false, client);
        const moved = await read(to);
        tell(to, moved.revision, false, client);
        return moved;
      }),

    duplicate: (name: string, to: string | undefined, client?: string) =>
      inTurn(async () => {
        const present = await read(checkName(name));
        const target = to === undefined ? await freeNameOnDisk(present.name) : checkName(to);
        return createFile(target, present.text, client);
      }),

    /** Moves a notebook and its revisions to the bin folder; nothing is erased. */
    remove: (name: string, client?: string) =>
      inTurn(async () => {
        name = checkName(name);
        await read(name);
        const target = binned(name);
        await rename(pathOf(name), target + fileEnding);
        await moveRevisions(revisionsOf(name), `${target}.revisions`);
        await syncFolder(places.bin);
        await syncFolder(places.root);
        tell(name, null, false, client);
        return { name, movedTo: target + fileEnding };
      }),

    /** Notebooks in the bin, last deleted first. */
    bin: () => inTurn(() => listBin(places.bin)),

    /** Brings a notebook and its revisions back from the bin, under its name or, where that is taken, a free one. */
    restoreFromBin: (id: string, client?: string) =>
      inTurn(async () => {
        const name = nameInBin(id);
        const entry = (await listBin(places.bin)).find((other) => other.id === id);
        if (name === undefined || !entry)
          throw new Refusal(
            404,
            "There is no such notebook in the bin. It may have been brought back already.",
          );
        const free = await freeNameOnDisk(name);
        await binRevisions(free);
        await rename(join(places.bin, id + fileEnding), pathOf(free));
        await moveRevisions(join(places.bin, `${id}.revisions`), revisionsOf(free));
        await Promise.all([syncFolder(places.root), syncFolder(places.bin)]);
        const restored = await read(free);
        tell(free, restored.revision, false, client);
        return restored;
      }),

    revisions: (name: string): Promise<RevisionEntry[]> =>
      inTurn(async () => {
        const present = await read(checkName(name));
        return listRevisions(revisionsOf(present.name));
      }),

    readRevision: (name: string, id: string) =>
      inTurn(async () => {
        const present = await read(checkName(name));
        return { name: present.name, id, text: await revisionText(present.name, id) };
      }),

    /** Makes a kept state the present one; the state before it stays among the revisions. */
    restore: (name: string, id: string, basedOn: unknown, client?: string) =>
      inTurn(async () => {
        name = (await read(checkName(name))).name;
        const text = await revisionText(name, id);
        const mayReplace = (present: Present, revision: string) => {
          if (basedOn !== undefined && basedOn !== present.revision) throw conflict(present.notebook());
          return present.revision !== revision;
        };
        return writeChecked(name, text, mayReplace, client);
      }),

    /** Compares the folder with what this server knows and tells what other programs have changed. */
    scan: () =>
      inTurn(async () => {
        const entries = await list();
        const present = new Map(entries.map((entry) => [entry.name, entry.revision]));
        for (const name of [...known.keys()]) {
          if (!present.has(name)) tell(name, null, true);
        }
        for (const [name, revision] of present) {
          if (known.get(name) !== revision) tell(name, revision, true);
        }
      }),

    /** Ends when everything asked before has been written. */
    settled: () => inTurn(async () => undefined),
  };

  async function revisionText(name: string, id: string): Promise<string> {
    const text = await readRevision(revisionsOf(name), id);
    if (text === undefined)
      throw new Refusal(404, `The notebook "${name}" has no revision "${id.slice(0, 40)}".`);
    return text;
  }
}

function nameTaken(name: string): Refusal {
  return new Refusal(409, `There is already a notebook "${name}". Choose another name.`, { taken: name });
}

function conflict(present: StoredNotebook): Refusal {
  return new Refusal(
    409,
    `The notebook "${present.name}" was changed elsewhere since it was read. Nothing was overwritten.`,
    { revision: present.revision, text: present.text, modified: present.modified },
  );
}
