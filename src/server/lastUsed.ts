import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { writeAtomically } from "./atomicWrite.ts";
import type { FolderPlaces } from "./folder.ts";
import { isName } from "./notebookName.ts";

/** Which notebook was looked at last, so that the next start can open it. A convenience: what fails here is passed over. */
export class LastUsed {
  readonly #places: FolderPlaces;
  #name: string | undefined;
  #writing: Promise<void> = Promise.resolve();

  private constructor(places: FolderPlaces, name: string | undefined) {
    this.#places = places;
    this.#name = name;
  }

  static async open(places: FolderPlaces): Promise<LastUsed> {
    return new LastUsed(places, await kept(fileIn(places)));
  }

  /** Name of the notebook; undefined when none was opened yet. */
  get name(): string | undefined {
    return this.#name;
  }

  /** A notebook is being looked at. */
  note(name: string): void {
    if (name === this.#name) return;
    this.#name = name;
    const write = () =>
      writeAtomically(fileIn(this.#places), `${JSON.stringify({ name })}\n`, this.#places.temporary);
    this.#writing = this.#writing.then(write).catch(() => undefined);
  }

  /** Ends when everything noted before has been written. */
  settled(): Promise<void> {
    return this.#writing;
  }
}

const fileIn = ({ hidden }: FolderPlaces) => join(hidden, "last.json");

async function kept(path: string): Promise<string | undefined> {
  try {
    const { name } = JSON.parse(await readFile(path, "utf8"));
    return typeof name === "string" && isName(name) ? name : undefined;
  } catch {
    return undefined; // none yet, or damaged
  }
}
