import { lstat, mkdir, readdir, realpath, rm } from "node:fs/promises";
import { join } from "node:path";
import { codeOf } from "./atomicWrite.ts";

/** Places in the notebook folder; everything but the notebooks and the library is under the hidden sub-folder. */
export interface FolderPlaces {
  root: string;
  hidden: string;
  revisions: string;
  bin: string;
  temporary: string;
  lock: string;
  examples: string;
  /** Cells that many notebooks use. */
  library: string;
}

/** Error of the notebook folder as a whole, worded for the person who starts the server. */
export class FolderError extends Error {}

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
    lock: join(hidden, "lock.json"),
    examples: join(hidden, "examples.json"),
    library: join(root, "library"),
  };
  for (const place of [hidden, places.revisions, places.bin, places.temporary, places.library])
    await ownFolder(place);
  return places;
}

/** Removes temporary files that a killed server left; only for the holder of the lock. */
export async function clearTemporary(places: FolderPlaces): Promise<void> {
  for (const name of await readdir(places.temporary)) {
    await rm(join(places.temporary, name), { recursive: true, force: true });
  }
}

/** A link here could lead writes out of the notebook folder, so only a true folder is accepted. */
async function ownFolder(path: string): Promise<void> {
  try {
    await mkdir(path, { recursive: true });
  } catch (error) {
    if (codeOf(error) !== "EEXIST") {
      throw new FolderError(`"${path}" cannot be made (${codeOf(error) ?? error}). Is the folder writable?`);
    }
  }
  if (!(await lstat(path)).isDirectory()) {
    throw new FolderError(
      `"${path}" is a link or a file, but has to be a folder. Move it away and start again.`,
    );
  }
}
