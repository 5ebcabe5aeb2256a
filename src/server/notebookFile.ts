import { constants, type Stats } from "node:fs";
import { lstat, open } from "node:fs/promises";
import { codeOf } from "./atomicWrite.ts";
import { fileEnding } from "./notebookName.ts";
import { Refusal } from "./refusal.ts";

/** Largest notebook that is read or written, bytes. */
export const largestNotebook = 20 * 1024 * 1024;

/**
 * Reads the file of a notebook. Only a true file is read: a link could show one from outside the folder.
 *
 * @throws Refusal for a missing file (404), a link or a folder (403), more than 20 MB (413), no UTF-8 text (422)
 */
export async function readNotebookFile(
  path: string,
  name: string,
): Promise<{ text: string; modified: string; stamp: string }> {
  let handle: Awaited<ReturnType<typeof open>>;
  try {
    // O_NOFOLLOW is not there on every system; lstat covers the rest.
    if ((await lstat(path)).isSymbolicLink()) throw linkRefused(name);
    handle = await open(path, constants.O_RDONLY | (constants.O_NOFOLLOW ?? 0) | (constants.O_NONBLOCK ?? 0));
  } catch (error) {
    if (codeOf(error) === "ENOENT") throw noNotebook(name);
    if (codeOf(error) === "ELOOP") throw linkRefused(name);
    throw error;
  }
  try {
    const status = await handle.stat();
    if (!status.isFile()) throw new Refusal(403, `"${name}${fileEnding}" is not a file.`);
    if (status.size > largestNotebook) {
      throw new Refusal(413, `The file "${name}${fileEnding}" is larger than 20 MB and is not read.`);
    }
    const text = decode(await handle.readFile(), name);
    return { text, modified: status.mtime.toISOString(), stamp: stampOf(status) };
  } finally {
    await handle.close();
  }
}

/** Changes when a file does, as far as the file system tells. */
export function stampOf(status: Stats): string {
  return `${status.mtimeMs} ${status.size} ${status.ino}`;
}

/** The refusal for a name that no file has. */
export function noNotebook(name: string): Refusal {
  return new Refusal(
    404,
    `There is no notebook "${name}" in the folder. It may have been renamed or moved away.`,
  );
}

function decode(bytes: Uint8Array, name: string): string {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw new Refusal(422, `The file "${name}${fileEnding}" is not UTF-8 text.`);
  }
}

function linkRefused(name: string): Refusal {
  return new Refusal(403, `"${name}${fileEnding}" is a link, and links are not followed.`);
}
