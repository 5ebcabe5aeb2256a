import { constants, type Stats } from "node:fs";
import { lstat, open } from "node:fs/promises";
import type { StoredNotebook } from "../document/served.ts";
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
  const { bytes, modified, stamp } = await readNotebookBytes(path, name);
  return { text: textOfFile(bytes, name), modified, stamp };
}

/** The file of a notebook as it is; throws as `readNotebookFile`, except for what is no text. */
export async function readNotebookBytes(
  path: string,
  name: string,
): Promise<{ bytes: Uint8Array; modified: string; stamp: string }> {
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
    return {
      bytes: withoutMark(await handle.readFile()),
      modified: status.mtime.toISOString(),
      stamp: stampOf(status),
    };
  } finally {
    await handle.close();
  }
}

/** Changes when a file does, as far as the file system tells. */
export function stampOf(status: Stats): string {
  return `${status.mtimeMs} ${status.size} ${status.ino}`;
}

/** Without the mark that some editors put before a text; it is no part of the text. */
export function withoutMark(bytes: Uint8Array): Uint8Array {
  return bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? bytes.subarray(3) : bytes;
}

/** The refusal for a name that no file has. */
export function noNotebook(name: string): Refusal {
  return new Refusal(
    404,
    `There is no notebook "${name}" in the folder. It may have been renamed or moved away.`,
  );
}

/** The refusal for a name that another notebook has. */
export function nameTaken(name: string): Refusal {
  return new Refusal(409, `There is already a notebook "${name}". Choose another name.`, { taken: name });
}

/** The refusal for a file that others have changed, with what stands in it. */
export function conflict({ name, revision, text, modified }: StoredNotebook): Refusal {
  return new Refusal(
    409,
    `The notebook "${name}" was changed elsewhere since it was read. Nothing was overwritten.`,
    { revision, text, modified },
  );
}

/**
 * The text of a notebook file.
 *
 * @throws Refusal (422) for what is no UTF-8 text
 */
export function textOfFile(bytes: Uint8Array, name: string): string {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw new Refusal(422, `The file "${name}${fileEnding}" is not UTF-8 text.`);
  }
}

function linkRefused(name: string): Refusal {
  return new Refusal(403, `"${name}${fileEnding}" is a link, and links are not followed.`);
}
