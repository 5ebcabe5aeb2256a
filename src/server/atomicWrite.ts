import { randomUUID } from "node:crypto";
import type { Stats } from "node:fs";
import { link, open, rename, rm } from "node:fs/promises";
import { dirname, join } from "node:path";

/** Thrown by `createAtomically` when something already stands under the name. */
export class AlreadyThere extends Error {}

/**
 * Replaces a file as a whole: a reader, or a start after a power cut, finds the old text or the new text and
 * never a part. Temporary file, fsync, rename, fsync of the folder.
 *
 * @param temporaryFolder folder on the same file system for the temporary file
 */
export async function writeAtomically(path: string, text: string, temporaryFolder: string): Promise<void> {
  await place(path, prepareFile(path, text, temporaryFolder), "replace");
}

/**
 * Like `writeAtomically` for a file that must not exist yet.
 *
 * @throws AlreadyThere when something stands under the name; it is left as it is
 */
export async function createAtomically(
  path: string,
  text: string | Uint8Array,
  temporaryFolder: string,
): Promise<void> {
  await place(path, prepareFile(path, text, temporaryFolder), "create");
}

async function place(path: string, prepared: PreparedFile, how: "replace" | "create"): Promise<void> {
  try {
    await prepared[how]();
    await syncFolder(dirname(path));
  } finally {
    await prepared.discard();
  }
}

/** A file whose text is being written under a temporary name and takes its place only when told. */
export interface PreparedFile {
  /** Ends when the text is with the operating system and on its way to the disk, or has failed to get there. */
  readonly begun: Promise<void>;
  /** Ends when the disk has the text; fails when it has not taken it. */
  readonly written: Promise<Stats>;
  /** Replaces what stands under the name; gives the state of the file. To make it last, sync the folder. */
  replace(): Promise<Stats>;
  /** Takes a name that is free and gives the state of the file; throws AlreadyThere otherwise. To make it last, sync the folder. */
  create(): Promise<Stats>;
  /** Removes the temporary file where it is still there. */
  discard(): Promise<void>;
}

/**
 * Begins to write a file at once, so that the slow part, until the disk has the text, passes while the caller still
 * checks whether the text may take the name.
 */
export function prepareFile(path: string, text: string | Uint8Array, temporaryFolder: string): PreparedFile {
  // Without the name of the file: with it, a long name would be longer than file systems allow.
  const temporary = join(temporaryFolder, `${randomUUID()}.tmp`);
  let begin = () => {};
  const begun = new Promise<void>((resolve) => {
    begin = resolve;
  });
  const written = writeAndSync(temporary, text, begin).finally(begin);
  const settled = written.then(
    () => undefined,
    () => undefined, // told when the file is placed
  );
  return {
    begun,
    written,
    async replace() {
      const stats = await written;
      await rename(temporary, path);
      return stats;
    },
    async create() {
      const stats = await written;
      await placeNew(temporary, path);
      return stats;
    },
    async discard() {
      await settled;
      await rm(temporary, { force: true }).catch(() => undefined); // the next start clears it
    },
  };
}

/** Makes the entries of a folder last over a power cut; systems that cannot do that are passed over. */
export async function syncFolder(folder: string): Promise<void> {
  try {
    const handle = await open(folder, "r");
    try {
      await handle.sync();
    } finally {
      await handle.close();
    }
  } catch (error) {
    if (!["EPERM", "EISDIR", "EINVAL", "EACCES", "EBADF"].includes(codeOf(error) ?? "")) throw error;
  }
}

/** Error code of the operating system, such as ENOENT. */
export function codeOf(error: unknown): string | undefined {
  return error instanceof Error ? (error as NodeJS.ErrnoException).code : undefined;
}

/**
 * Gives a file a further name that must be free; the first name may stay. Unlike rename, a link never replaces.
 *
 * @throws AlreadyThere when something stands under the name
 */
export async function placeNew(from: string, path: string): Promise<void> {
  try {
    await link(from, path);
  } catch (error) {
    if (codeOf(error) === "EEXIST") throw new AlreadyThere(path);
    if (!["EPERM", "ENOTSUP", "ENOSYS", "EOPNOTSUPP"].includes(codeOf(error) ?? "")) throw error;
    await placeWithoutLink(from, path);
  }
}

/** On file systems without hard links: an empty file claims the name, and is then replaced as a whole. */
async function placeWithoutLink(from: string, path: string): Promise<void> {
  try {
    await (await open(path, "wx", 0o644)).close();
  } catch (error) {
    throw codeOf(error) === "EEXIST" ? new AlreadyThere(path) : error;
  }
  try {
    await rename(from, path);
  } catch (error) {
    await rm(path, { force: true });
    throw error;
  }
}

async function writeAndSync(path: string, text: string | Uint8Array, onBegun?: () => void): Promise<Stats> {
  const handle = await open(path, "wx", 0o644);
  try {
    await handle.writeFile(text, "utf8");
    const synced = handle.sync();
    onBegun?.();
    await synced;
    return await handle.stat();
  } finally {
    await handle.close();
  }
}
