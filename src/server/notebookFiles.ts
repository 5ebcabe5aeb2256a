import { lstat, readdir, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import { checkGuardedNotebook, notebookNesting } from "../document/notebook.ts";
import type { NotebookEntry, StoredNotebook } from "../document/served.ts";
import { sameWorkText } from "../document/view.ts";
import { messageOf } from "../graph/messageOf.ts";
import { AsideFiles } from "./asideFiles.ts";
import { AlreadyThere, codeOf, createAtomically, placeNew, prepareFile, syncFolder } from "./atomicWrite.ts";
import { binNameOf } from "./bin.ts";
import { type Standing, toldTruly } from "./diskTrouble.ts";
import type { FolderPlaces } from "./folder.ts";
import { parseGuardedJson } from "./guardedJson.ts";
import { inSteps } from "./inSteps.ts";
import {
  conflict,
  largestNotebook,
  nameTaken,
  noNotebook,
  readNotebookBytes,
  readNotebookFile,
  stampOf,
  textOfFile,
} from "./notebookFile.ts";
import { fileEnding, foldedName, freeName, nameOfFile } from "./notebookName.ts";
import { Refusal } from "./refusal.ts";
import {
  isKeptWork,
  keepRevision,
  moveRevisions,
  type PreparedRevision,
  prepareRevision,
  readRevision,
  revisionBeside,
  revisionOf,
} from "./revisions.ts";

export interface NotebookFilesOptions {
  places: FolderPlaces;
  /** Throws with a message that names the field when what a text says is no notebook. */
  validate?: (value: unknown) => void;
  now?: () => Date;
}

/** The state in a file, whose text is only made where it is needed. */
export interface Present {
  readonly revision: string;
  readonly stamp: string;
  notebook(): StoredNotebook;
}

/** A notebook that was put in place, with what is listed of it. */
interface Written {
  readonly notebook: StoredNotebook;
  /** Left out where the file held this state already. */
  readonly listed?: { readonly stamp: string; readonly entry: NotebookEntry };
}

/** The notebook files of a folder and their kept revisions; one operation at a time. */
export class NotebookFiles {
  readonly places: FolderPlaces;
  readonly #validate: (value: unknown) => void;
  readonly #now: () => Date;
  readonly #aside: AsideFiles;

  constructor({ places, validate = checkGuardedNotebook, now = () => new Date() }: NotebookFilesOptions) {
    this.places = places;
    this.#validate = validate;
    this.#now = now;
    this.#aside = new AsideFiles({
      folder: places.aside,
      ending: fileEnding,
      pathOf: (name) => this.pathOf(name),
      keep: (name, bytes) => keepRevision(this.revisionsOf(name), bytes, places.temporary),
      binned: (name) => this.binned(name),
    });
  }

  pathOf(name: string): string {
    return join(this.places.root, name + fileEnding);
  }

  revisionsOf(name: string): string {
    return join(this.places.revisions, name);
  }

  /** Path in the bin, without ending, for a notebook that goes there now. */
  binned(name: string): string {
    return join(this.places.bin, binNameOf(name, this.#now()));
  }

  async names(): Promise<string[]> {
    return (await readdir(this.places.root)).map(nameOfFile).filter((name) => name !== undefined);
  }

  async read(name: string): Promise<StoredNotebook> {
    const { text, modified } = await readNotebookFile(this.pathOf(name), name);
    return { name, text, revision: revisionOf(text), modified };
  }

  /** @throws Refusal (404) when no such state is kept */
  async readRevision(name: string, id: string): Promise<string> {
    const text = await readRevision(this.revisionsOf(name), id);
    if (text !== undefined) return text;
    throw new Refusal(404, `The notebook "${name}" has no revision "${id.slice(0, 40)}".`);
  }

  async #present(name: string): Promise<Present> {
    const { bytes, modified, stamp } = await readNotebookBytes(this.pathOf(name), name);
    const revision = await revisionBeside(bytes);
    return { revision, stamp, notebook: () => ({ name, text: textOfFile(bytes, name), revision, modified }) };
  }

  /** Whether a file has the name, or one that some file systems take for the same. */
  async isTaken(name: string, except?: string): Promise<boolean> {
    const wanted = foldedName(name + fileEnding);
    return (await readdir(this.places.root)).some(
      (file) => foldedName(file) === wanted && (except === undefined || file !== except + fileEnding),
    );
  }

  /** The first of NAME, NAME-2, NAME-3 … that no file has. */
  async freeName(name: string): Promise<string> {
    const taken = new Set((await readdir(this.places.root)).map(foldedName));
    return freeName(name, (candidate) => taken.has(foldedName(candidate + fileEnding)));
  }

  /**
   * @param onTitle told the title, also of a text that is then refused
   * @throws Refusal for what is too large (413), unsafe (400) or no notebook (422)
   */
  check(
    text: string,
    what: string,
    onTitle?: (title: string) => void,
    bytes: Uint8Array = Buffer.from(text),
  ): void {
    if (bytes.length > largestNotebook) throw new Refusal(413, `${what} is larger than 20 MB.`);
    const value = parseGuardedJson(text, what, bytes, notebookNesting) as { title?: unknown } | null;
    if (typeof value?.title === "string") onTitle?.(value.title);
    try {
      this.#validate(value);
    } catch (error) {
      throw new Refusal(422, `${what} is not a notebook: ${messageOf(error)}`);
    }
  }

  /** What is listed of a file. */
  async entryOf(name: string, status: { mtime: Date; size: number }): Promise<NotebookEntry> {
    const { size } = status;
    let [title, revision, problem] = [name, "", undefined as string | undefined];
    try {
      const stored = await this.read(name);
      revision = stored.revision;
      this.check(stored.text, `The file "${name}${fileEnding}"`, (found) => (title = found));
    } catch (error) {
      problem = messageOf(error);
    }
    const entry = { name, title, modified: status.mtime.toISOString(), size, revision };
    return problem === undefined ? entry : { ...entry, problem };
  }

  /**
   * Replaces a file and keeps the state among the revisions. Both texts go to the disk while they are still being
   * checked; they take their names only when everything is in order, the revision first: once the save is confirmed,
   * two separate files hold it.
   *
   * @param mayReplace looks at the present state; throws when it must not be replaced, gives false when it is the same
   */
  async replace(
    name: string,
    text: string,
    mayReplace: (present: Present, revision: string) => boolean,
    bytes: Uint8Array = Buffer.from(text),
  ): Promise<Written> {
    if ((await this.#stamp(name)) === undefined) throw noNotebook(name);
    const revision = revisionOf(bytes);
    const look = async (): Promise<Standing> => {
      const present = await this.#present(name);
      const done = present.revision === revision;
      return {
        words: done
          ? `The notebook "${name}" holds your change all the same.`
          : `The file of the notebook "${name}" is as it was before.`,
        done,
      };
    };
    return toldTruly(look, () => this.#replace(name, text, mayReplace, bytes, revision));
  }

  async #replace(
    name: string,
    text: string,
    mayReplace: (present: Present, revision: string) => boolean,
    bytes: Uint8Array,
    revision: string,
  ): Promise<Written> {
    const { root, temporary } = this.places;
    const revisions = this.revisionsOf(name);
    const file = prepareFile(this.pathOf(name), bytes, temporary);
    let kept: PreparedRevision | undefined;
    try {
      kept = await prepareRevision(revisions, bytes, revision, temporary);
      const reading = this.#present(name);
      reading.catch(() => undefined); // told below
      await Promise.all([file.begun, kept.begun]);
      let title = name;
      this.check(text, "The notebook", (found) => (title = found), bytes);
      const present = await reading;
      if (!mayReplace(present, revision)) {
        await syncFolder(root); // the earlier request may have failed at just this
        return { notebook: present.notebook() };
      }
      const inFile = present.notebook().text;
      // How a notebook is looked at is no work: it has no place among the states that are kept.
      if (!sameWorkText(inFile, text)) {
        if (kept.newest !== present.revision && !(await isKeptWork(revisions, inFile))) {
          // Another program wrote the present state: it is kept before it is replaced.
          for (const state of [inFile, text]) await keepRevision(revisions, state, temporary);
        } else await kept.keep();
      }
      const status = await this.#aside.swap(name, file, present);
      if (!status) throw conflict(await this.read(name)); // edited this very moment
      await Promise.all([syncFolder(revisions), syncFolder(root)]);
      const modified = status.mtime.toISOString();
      const entry = { name, title, modified, size: status.size, revision };
      return { notebook: { name, text, revision, modified }, listed: { stamp: stampOf(status), entry } };
    } finally {
      await Promise.all([file.discard(), kept?.discard()]);
    }
  }

  /** @throws Refusal (409) when the name is taken */
  async create(name: string, text: string): Promise<StoredNotebook> {
    if (await this.isTaken(name)) throw nameTaken(name);
    const path = this.pathOf(name);
    return toldTruly(
      () =>
        this.#standing(
          name,
          `There is no new notebook "${name}".`,
          `The notebook "${name}" was made all the same.`,
        ),
      async () => {
        await this.binRevisions(name);
        // The revision first, as at a save: a notebook that is there has its state kept.
        await keepRevision(this.revisionsOf(name), text, this.places.temporary);
        try {
          await createAtomically(path, text, this.places.temporary);
        } catch (error) {
          if (error instanceof AlreadyThere) throw nameTaken(name);
          await this.#takeBack(name, revisionOf(text));
          throw error;
        }
        return this.read(name);
      },
    );
  }

  /** Removes a file that was just made, unless another program has changed it. */
  async #takeBack(name: string, revision: string): Promise<void> {
    try {
      if ((await this.#present(name)).revision === revision) await rm(this.pathOf(name));
    } catch {
      // what stands there is looked at afterwards
    }
  }

  /** Whether a name is there. */
  async #standing(name: string, without: string, done: string): Promise<Standing> {
    const isThere = (await readdir(this.places.root)).includes(name + fileEnding);
    return { words: isThere ? done : without, done: isThere };
  }

  /** Stamp of the file, or undefined where there is none. */
  async #stamp(name: string): Promise<string | undefined> {
    try {
      return stampOf(await lstat(this.pathOf(name)));
    } catch (error) {
      if (codeOf(error) === "ENOENT") return undefined;
      throw error; // not known: a guess either way could confirm what was not done
    }
  }

  /** Revisions of an earlier notebook of this name, whose file was taken away by hand, are not the next one's. */
  async binRevisions(name: string): Promise<void> {
    await moveRevisions(this.revisionsOf(name), `${this.binned(name)}.revisions`);
  }

  /** @throws Refusal (409) when the new name is taken */
  async rename(name: string, to: string): Promise<StoredNotebook> {
    const { root } = this.places;
    // Only another case of letters: some file systems take both for one name.
    if (await this.isTaken(to, name)) throw nameTaken(to);
    const isOtherName = foldedName(name) !== foldedName(to);
    await toldTruly(
      () =>
        this.#standing(
          to,
          `The notebook "${name}" has kept its name.`,
          `The notebook "${name}" is called "${to}" all the same.`,
        ),
      async () => {
        if (isOtherName) await this.binRevisions(to);
        await inSteps([
          [() => this.#move(name, to), () => this.#move(to, name)],
          [
            () => moveRevisions(this.revisionsOf(name), this.revisionsOf(to)),
            () => moveRevisions(this.revisionsOf(to), this.revisionsOf(name)),
          ],
          [() => syncFolder(root)],
        ]);
      },
    );
    return this.read(to);
  }

  async #move(name: string, to: string): Promise<void> {
    try {
      await this.#aside.move(name, this.pathOf(to));
    } catch (error) {
      throw error instanceof AlreadyThere ? nameTaken(to) : error;
    }
  }

  /** Moves a file and its revisions to the bin; gives the path there. */
  async bin(name: string): Promise<string> {
    const target = this.binned(name);
    const path = this.pathOf(name);
    const revisions = this.revisionsOf(name);
    await toldTruly(
      async () => {
        const { done: isThere } = await this.#standing(name, "", "");
        const words = isThere
          ? `The notebook "${name}" is still in the folder.`
          : `The notebook "${name}" is in the bin all the same.`;
        return { words, done: !isThere };
      },
      () =>
        inSteps([
          [() => rename(path, target + fileEnding), () => this.#putBack(target + fileEnding, name)],
          [
            () => moveRevisions(revisions, `${target}.revisions`),
            () => moveRevisions(`${target}.revisions`, revisions),
          ],
          [() => syncFolder(this.places.bin)],
          [() => syncFolder(this.places.root)],
        ]),
    );
    return target + fileEnding;
  }

  /** Brings something back from the bin under a name that is free. */
  async bringBack(id: string, name: string): Promise<StoredNotebook> {
    const { root, bin } = this.places;
    const file = join(bin, id + fileEnding);
    const revisions = this.revisionsOf(name);
    if (await this.isTaken(name)) throw nameTaken(name);
    await toldTruly(
      () =>
        this.#standing(
          name,
          `The notebook "${name}" is still in the bin.`,
          `The notebook "${name}" was brought back all the same.`,
        ),
      async () => {
        await this.binRevisions(name);
        await inSteps([
          [() => this.#putBack(file, name), () => rename(this.pathOf(name), file)],
          [
            () => moveRevisions(join(bin, `${id}.revisions`), revisions),
            () => moveRevisions(revisions, join(bin, `${id}.revisions`)),
          ],
          [() => syncFolder(root)],
          [() => syncFolder(bin)],
        ]);
      },
    );
    return this.read(name);
  }

  /** Moves a file of the bin into the folder; never over another one. */
  async #putBack(file: string, name: string): Promise<void> {
    try {
      await placeNew(file, this.pathOf(name));
    } catch (error) {
      throw error instanceof AlreadyThere ? nameTaken(name) : error;
    }
    await rm(file, { force: true });
  }

  /** Puts in order what a kill has left, and what other programs wrote while files took their places. */
  async heal(): Promise<void> {
    await this.#aside.heal();
  }

  /** Looks after files whose place was taken a moment ago. */
  async tend(): Promise<void> {
    await this.#aside.tend();
  }
}
