import { lstat, mkdir, readdir, realpath, rm } from "node:fs/promises";
import { join } from "node:path";
import { codeOf } from "./atomicWrite.ts";
import { isFull } from "./diskTrouble.ts";
import { Refusal } from "./refusal.ts";

/** Places in the notebook folder; everything but the notebooks and the library is under the hidden sub-folder. */
export interface FolderPlaces {
  root: string;
  hidden: string;
  revisions: string;
  bin: string;
  temporary: string;
  /** Files whose place another one is taking. */
  aside: string;
  lock: string;
  examples: string;
  /** Cells that many notebooks use. */
  library: string;
}

/** Error of the notebook folder as a whole, worded for the person who starts the server. */
export class FolderError extends Error {
  /** Code of the operating system, where one was the reason. */
  readonly code: string | undefined;

  constructor(message: string, reason?: unknown) {
    super(message);
    this.code = codeOf(reason);
  }
}

/**
 * Makes the notebook folder and its hidden sub-folders where they are missing.
 *
 * @throws FolderError when the place cannot be used
 */
export async function prepareFolder(folder: string): Promise<FolderPlaces> {
  let root: string;
  try {
    await mkdir(folder, { recursive: true });
    root = await realpath(folder);
  } catch (error) {
    throw new FolderError(
      `The notebook folder "${folder}" cannot be made (${codeOf(error) ?? error}). Choose another one with --folder.`,
    );
  }
  const hidden = join(root, ".bole");
  const places: FolderPlaces = {
    root,
    hidden,
    revisions: join(hidden, "revisions"),
    bin: join(hidden, "bin"),
    temporary: join(hidden, "temporary"),
    aside: join(hidden, "aside"),
    lock: join(hidden, "lock.json"),
    examples: join(hidden, "examples.json"),
    library: join(root, "library"),
  };
  for (const place of foldersOf(places)) await ownFolder(place);
  return places;
}

/**
 * Looks whether the folder is still there and has no links in it where none may be.
 *
 * @returns whether every sub-folder is there
 * @throws Refusal when the folder is gone (503) or something else stands in the place of a sub-folder (403)
 */
export async function lookAtPlaces(places: FolderPlaces): Promise<boolean> {
  const seen = await Promise.all([places.root, ...foldersOf(places)].map(statusOf));
  if (!seen[0]?.isDirectory()) {
    throw new Refusal(
      503,
      `The notebook folder "${places.root}" is not there: it was moved, renamed or deleted, or its drive is away. Put it back, and everything goes on.`,
      { reason: "folder-gone" },
    );
  }
  foldersOf(places).forEach((place, i) => {
    const status = seen[i + 1];
    if (status && !status.isDirectory()) throw noTrueFolder(place);
  });
  return seen.every((status) => status !== undefined);
}

/** As `lookAtPlaces`; makes the sub-folders that are missing. */
export async function remakePlaces(places: FolderPlaces): Promise<void> {
  if (await lookAtPlaces(places)) return;
  for (const place of foldersOf(places)) await mkdir(place, { recursive: true });
}

/** The refusal for a place that has to be a folder. */
export function noTrueFolder(path: string): Refusal {
  return new Refusal(
    403,
    `"${path}" is a link or a file, but has to be a folder, and links are not followed. Move it away and try again.`,
    { reason: "not-a-folder" },
  );
}

/** The sub-folders, each after the one that holds it. */
function foldersOf({ hidden, revisions, bin, temporary, aside, library }: FolderPlaces): string[] {
  return [hidden, revisions, bin, temporary, aside, library];
}

async function statusOf(path: string) {
  return lstat(path).catch((error) => {
    if (codeOf(error) === "ENOENT" || codeOf(error) === "ENOTDIR") return undefined;
    throw error;
  });
}

/** Removes temporary files that a killed server left; only for the holder of the lock. */
export async function clearTemporary(places: FolderPlaces): Promise<void> {
  for (const name of await namesIn(places.temporary)) {
    await rm(join(places.temporary, name), { recursive: true, force: true });
  }
}

/** A link here could lead writes out of the notebook folder, so only a true folder is accepted. */
async function ownFolder(path: string): Promise<void> {
  try {
    await mkdir(path, { recursive: true });
  } catch (error) {
    if (isFull(error)) return; // reading goes on without it
    if (codeOf(error) !== "EEXIST") {
      throw new FolderError(`"${path}" cannot be made (${codeOf(error) ?? error}). Is the folder writable?`);
    }
  }
  if (!(await statusOf(path))?.isDirectory()) {
    throw new FolderError(
      `"${path}" is a link or a file, but has to be a folder. Move it away and start again.`,
    );
  }
}

/** Names in a folder; none where it is missing. */
export async function namesIn(folder: string): Promise<string[]> {
  return readdir(folder).catch((error) => {
    if (codeOf(error) === "ENOENT") return [];
    throw error;
  });
}
