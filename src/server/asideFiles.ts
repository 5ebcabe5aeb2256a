import { randomUUID } from "node:crypto";
import type { Stats } from "node:fs";
import { lstat, mkdir, readdir, rename, rm } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { AlreadyThere, codeOf, type PreparedFile, placeNew } from "./atomicWrite.ts";
import { namesIn } from "./folder.ts";
import { readNotebookBytes, stampOf } from "./notebookFile.ts";
import { revisionOf } from "./revisions.ts";

/** A program that had a file open when it was moved aside may go on writing into it for a moment. */
const graceMs = 1000;
/** Two writes within this time may leave one and the same time on a file. */
const tickMs = 100;

/** A mark of its own, `-` once another file has its place; the revision it was read at; its name. */
const pattern = /^[0-9a-f]{8}(-?)\.([0-9a-f]{16})\.(.+)$/;

/** The state in which a file was read. */
export interface ReadState {
  readonly revision: string;
  readonly stamp: string;
}

interface AsideFilesOptions {
  /** Folder for files moved aside, on the same file system. */
  folder: string;
  /** Ending of the files that are cared for. */
  ending: string;
  pathOf(name: string): string;
  /** Keeps a state that another program wrote into a file while its place was taken. */
  keep(name: string, bytes: Uint8Array): Promise<void>;
  /** Path without ending for a file that cannot even be read. */
  binned(name: string): string;
}

interface Aside {
  readonly path: string;
  readonly name: string;
  readonly revision: string;
  readonly stamp: string | undefined;
  readonly since: number;
  /** Whether another file has taken its place, or had. */
  readonly isFollowed: boolean;
}

/**
 * Replaces files without ever replacing what others have just written: the present file is moved aside and looked at
 * there, and the new one takes the name only while the name is free. What lies aside is looked at once more before it
 * goes, and after a kill it takes its place again.
 */
export class AsideFiles {
  readonly #options: AsideFilesOptions;
  #waiting: Aside[] = [];

  constructor(options: AsideFilesOptions) {
    this.#options = options;
  }

  /**
   * Puts a prepared file in the place of one.
   *
   * @param read the state in which the present file was read
   * @returns the state of the new file, or undefined when another program has changed the present one: it stays
   */
  async swap(name: string, file: PreparedFile, read: ReadState): Promise<Stats | undefined> {
    await this.tend();
    await file.written;
    const aside = await this.#take(name, read.revision);
    if (!aside) return undefined;
    let placed: Stats | undefined;
    try {
      if (await isAsRead(aside, read)) placed = await file.create();
    } catch (error) {
      if (!(error instanceof AlreadyThere)) throw error;
    } finally {
      if (placed) this.#waiting.push({ ...(await followed(aside)), stamp: read.stamp });
      else await this.#putBack(aside);
    }
    return placed;
  }

  /**
   * Gives a file another name, which has to be free.
   *
   * @throws AlreadyThere when it is not
   */
  async move(name: string, to: string): Promise<void> {
    const aside = await this.#take(name, "0".repeat(16));
    if (!aside) throw Object.assign(new Error(`ENOENT: ${name}`), { code: "ENOENT" });
    let moved = false;
    try {
      await placeNew(aside.path, to);
      moved = true;
    } finally {
      if (moved) await rm(aside.path, { force: true });
      else await this.#putBack(aside);
    }
  }

  /** Looks once more at what lies aside, and clears away what nobody has written into. */
  async tend(): Promise<void> {
    const now = Date.now();
    const left: Aside[] = [];
    for (const aside of this.#waiting) {
      const isYoung = Math.abs(now - aside.since) < graceMs;
      if (isYoung || !(await this.#clear(aside).catch(() => false))) left.push(aside);
    }
    this.#waiting = left;
  }

  /** After a kill: files aside whose place is free take it again; of the others nothing that was written is lost. */
  async heal(): Promise<void> {
    for (const file of await namesIn(this.#options.folder)) {
      const [, follows, revision, rest = ""] = pattern.exec(file) ?? [];
      if (revision === undefined || !rest.endsWith(this.#options.ending)) continue;
      const name = rest.slice(0, -this.#options.ending.length);
      const aside = {
        path: join(this.#options.folder, file),
        name,
        revision,
        stamp: undefined,
        since: 0,
        isFollowed: follows === "-",
      };
      if (follows) this.#waiting.push(aside);
      else if (await this.#stoodElsewhere(aside)) await rm(aside.path, { force: true });
      else {
        // Where there are no hard links, an empty file claims a name for a moment.
        const path = this.#options.pathOf(name);
        if ((await lstat(path).catch(() => undefined))?.size === 0) await rm(path);
        await this.#putBack(aside);
      }
    }
    await this.tend();
  }

  /** Gives undefined when the file is gone. */
  async #take(name: string, revision: string): Promise<Aside | undefined> {
    const mark = randomUUID().slice(0, 8);
    const path = join(this.#options.folder, `${mark}.${revision}.${name}${this.#options.ending}`);
    try {
      await rename(this.#options.pathOf(name), path);
    } catch (error) {
      if (codeOf(error) !== "ENOENT") throw error;
      await mkdir(this.#options.folder, { recursive: true }); // it may be this that is missing
      return undefined;
    }
    return { path, name, revision, stamp: undefined, since: Date.now(), isFollowed: false };
  }

  /** What cannot go back, because another program has taken the place or the disk fails, waits to be looked at. */
  async #putBack(aside: Aside): Promise<void> {
    const path = this.#options.pathOf(aside.name);
    try {
      await placeNew(aside.path, path);
      await rm(aside.path, { force: true });
    } catch {
      this.#waiting.push(aside);
    }
  }

  /** Whether a kill came after the file had its other name, and before it lost the one aside. */
  async #stoodElsewhere({ path, name }: Aside): Promise<boolean> {
    const { ino, dev, nlink } = await lstat(path);
    if (nlink < 2) return false;
    const folder = dirname(this.#options.pathOf(name));
    for (const file of await readdir(folder)) {
      const other = await lstat(join(folder, file)).catch(() => undefined);
      if (other?.ino === ino && other.dev === dev) return true;
    }
    return false;
  }

  /** Gives whether nothing is left to do. */
  async #clear(aside: Aside): Promise<boolean> {
    const { ending, pathOf, keep, binned } = this.#options;
    const status = await lstat(aside.path).catch((error) => {
      if (codeOf(error) === "ENOENT") return undefined;
      throw error;
    });
    if (!status) return true;
    const present = await lstat(pathOf(aside.name)).catch((error) => {
      if (codeOf(error) === "ENOENT") return undefined;
      throw error;
    });
    if (!present && !aside.isFollowed) {
      await placeNew(aside.path, pathOf(aside.name)); // it could not go back before
    } else if (aside.stamp === undefined || !(await isAsRead(aside, { ...aside, stamp: aside.stamp }))) {
      if (Math.abs(Date.now() - status.mtimeMs) < graceMs && aside.since > 0) return false; // still being written
      const read = await readNotebookBytes(aside.path, aside.name).catch(() => undefined);
      if (!read) {
        await rename(aside.path, binned(aside.name) + ending);
        return true;
      }
      if (revisionOf(read.bytes) !== aside.revision) await keep(aside.name, read.bytes);
    }
    await rm(aside.path, { force: true });
    return true;
  }
}

/** Notes in the name of a file aside that another one has its place: after a kill it is not to come back. */
async function followed(aside: Aside): Promise<Aside> {
  const path = join(dirname(aside.path), basename(aside.path).replace(".", "-."));
  try {
    await rename(aside.path, path);
  } catch {
    return aside; // while the other one is there, it does not come back either
  }
  return { ...aside, path, isFollowed: true };
}

/** By its time and size; right after a write, which these may not show, by what is in it. */
async function isAsRead({ path, name }: { path: string; name: string }, read: ReadState): Promise<boolean> {
  const status = await lstat(path);
  if (stampOf(status) !== read.stamp) return false;
  if (Math.abs(Date.now() - status.mtimeMs) > tickMs) return true;
  return revisionOf((await readNotebookBytes(path, name)).bytes) === read.revision;
}
