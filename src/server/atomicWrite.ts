import { randomUUID } from "node:crypto";
import { link, open, rename, rm } from "node:fs/promises";
import { basename, dirname, join } from "node:path";

/** Thrown by `createAtomically` when something already stands under the name. */
export class AlreadyThere extends Error {}

/**
 * Replaces a file as a whole: a reader, or a start after a power cut, finds the old text or the new text and
 * never a part. Temporary file, fsync, rename, fsync of the folder.
 *
 * @param temporaryFolder folder on the same file system for the temporary file
 */
export async function writeAtomically(path: string, text: string, temporaryFolder: string): Promise<void> {
  await throughTemporary(path, text, temporaryFolder, (temporary) => rename(temporary, path));
}

/**
 * Like `writeAtomically` for a file that must not exist yet.
 *
 * @throws AlreadyThere when something stands under the name; it is left as it is
 */
export async function createAtomically(path: string, text: string, temporaryFolder: string): Promise<void> {
  await throughTemporary(path, text, temporaryFolder, async (temporary) => {
    try {
      await link(temporary, path); // unlike rename, a link never replaces
    } catch (error) {
      if (codeOf(error) === "EEXIST") throw new AlreadyThere(path);
      if (!["EPERM", "ENOTSUP", "ENOSYS", "EOPNOTSUPP"].includes(codeOf(error) ?? "")) throw error;
      await createWithoutLink(path, text); // file systems without hard links
      return;
    }
  });
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

async function throughTemporary(
  path: string,
  text: string,
  temporaryFolder: string,
  place: (temporary: string) => Promise<void>,
): Promise<void> {
  const temporary = join(temporaryFolder, `${basename(path)}.${randomUUID()}.tmp`);
  try {
    await writeAndSync(temporary, text);
    await place(temporary);
    await syncFolder(dirname(path));
  } finally {
    await rm(temporary, { force: true });
  }
}

async function createWithoutLink(path: string, text: string): Promise<void> {
  try {
    await writeAndSync(path, text);
  } catch (error) {
    if (codeOf(error) === "EEXIST") throw new AlreadyThere(path);
    await rm(path, { force: true });
    throw error;
  }
}

async function writeAndSync(path: string, text: string): Promise<void> {
  const handle = await open(path, "wx", 0o644);
  try {
    await handle.writeFile(text, "utf8");
    await handle.sync();
  } finally {
    await handle.close();
  }
}
