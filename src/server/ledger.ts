import { join } from "node:path";
import type { LedgerNews } from "../document/served.ts";
import { messageOf } from "../graph/messageOf.ts";
import {
  changedLedger,
  checkChanges,
  checkLedger,
  emptyLedger,
  type Ledger,
  LedgerConflict,
  type LedgerEntry,
  serialiseLedger,
} from "../ledger/ledgerFile.ts";
import { AsideFiles, type ReadState } from "./asideFiles.ts";
import { AlreadyThere, createAtomically, prepareFile, syncFolder } from "./atomicWrite.ts";
import { binNameOf } from "./bin.ts";
import { toldTruly } from "./diskTrouble.ts";
import type { FolderPlaces } from "./folder.ts";
import { FolderIndex } from "./folderIndex.ts";
import { type FolderReadiness, readinessOf } from "./folderKeeper.ts";
import { parseGuardedJson } from "./guardedJson.ts";
import { largestNotebook, readNotebookFile } from "./notebookFile.ts";
import { FolderQueue } from "./queue.ts";
import { Refusal } from "./refusal.ts";
import { revisionOf } from "./revisions.ts";

const ledgerEnding = ".bole-ledger.json";
/** The ledger is one file, so that changes of several panels are made as one. */
const ledgerName = "panels";
const words = "The ledger of panels";

interface LedgerOptions {
  places: FolderPlaces;
  /** Left out for a folder that nobody else uses. */
  readiness?: FolderReadiness;
  onChange: (news: LedgerNews) => void;
}

/**
 * Every panel that was ever read, shared by all notebooks: one file in the folder of the library. A panel keeps its
 * earlier states; one that is taken out goes to the bin.
 */
export class LedgerStore {
  readonly #places: FolderPlaces;
  readonly #queue: FolderQueue;
  readonly #aside: AsideFiles;
  readonly #index: FolderIndex<{ name: string; revision: string }, string>;
  readonly #path: string;

  private constructor({ places, readiness = readinessOf(places), onChange }: LedgerOptions) {
    this.#places = places;
    this.#queue = new FolderQueue(readiness);
    this.#path = join(places.library, ledgerName + ledgerEnding);
    this.#aside = new AsideFiles({
      folder: places.aside,
      ending: ledgerEnding,
      pathOf: () => this.#path,
      keep: (name, bytes) => createAtomically(this.#binned(name) + ledgerEnding, bytes, places.temporary),
      binned: (name) => this.#binned(name),
    });
    this.#index = new FolderIndex({
      names: async () => [ledgerName],
      pathOf: () => this.#path,
      entryOf: async (name) => ({
        name,
        revision: await readNotebookFile(this.#path, ledgerName)
          .then(({ text }) => revisionOf(text))
          .catch(() => ""),
      }),
      stateOf: ({ revision }) => revision,
      onChange: (_, revision, __, client) => onChange({ revision, client }),
    });
  }

  /** Takes the ledger of a folder into use. */
  static async open(options: LedgerOptions): Promise<LedgerStore> {
    const store = new LedgerStore(options);
    await store.#aside.heal();
    await store.#index.learn();
    return store;
  }

  /** Ends when everything asked before has been written. */
  settled(): Promise<void> {
    return this.#queue.settled();
  }

  read(): Promise<{ entries: readonly LedgerEntry[] }> {
    return this.#queue.reading(async () => ({ entries: (await this.#read()).ledger.entries }));
  }

  /** Tells what other programs have changed. */
  scan(): Promise<void> {
    return this.#queue.reading(async () => {
      await this.#aside.tend();
      await this.#index.scan();
    });
  }

  /**
   * Makes changes, all of them or none.
   *
   * @throws Refusal (400) for what is no change, (409) for a panel that is no longer as it was seen, with its id
   */
  change(plain: unknown, client?: string): Promise<{ changed: number }> {
    return this.#queue.writing(async () => {
      const changes = await checked(400, "The changes cannot be used", () => checkChanges(plain));
      const { ledger, read } = await this.#read();
      const next = nextOf(ledger, changes);
      if (next === ledger) return { changed: 0 };
      const gone = ledger.entries.filter(({ id }) => changes.some((one) => one.id === id && !one.panel));
      if (gone.length > 0) {
        const bin = this.#binned("panels taken out") + ledgerEnding;
        await createAtomically(bin, serialiseLedger({ ...ledger, entries: gone }), this.#places.temporary);
      }
      const text = serialiseLedger(next);
      await this.#write(text, read);
      this.#index.tell(ledgerName, revisionOf(text), client);
      return { changed: changes.length };
    });
  }

  async #read(): Promise<{ ledger: Ledger; read?: ReadState }> {
    const file = await readNotebookFile(this.#path, ledgerName).catch((error) => {
      if (error instanceof Refusal && error.status === 404) return undefined; // nothing was ever kept
      throw error;
    });
    if (!file) return { ledger: emptyLedger };
    const ledger = await checked(422, `${words} cannot be used`, () =>
      checkLedger(parseGuardedJson(file.text, words)),
    );
    return { ledger, read: { revision: revisionOf(file.text), stamp: file.stamp } };
  }

  /** @param read the state of the file that is replaced; undefined where there is none */
  async #write(text: string, read: ReadState | undefined): Promise<void> {
    if (Buffer.byteLength(text) > largestNotebook) {
      throw new Refusal(413, `${words} would be larger than 20 MB. Export old panels and take them out.`);
    }
    const look = async () => {
      const present = (await this.#read()).read?.revision;
      const done = present === revisionOf(text);
      return { words: done ? `${words} was kept all the same.` : `${words} is as it was before.`, done };
    };
    await toldTruly(look, () => this.#put(text, read));
  }

  async #put(text: string, read: ReadState | undefined): Promise<void> {
    const file = prepareFile(this.#path, text, this.#places.temporary);
    const changedMeanwhile = () =>
      new Refusal(
        409,
        `${words} was changed by another program this very moment. Nothing was overwritten; try again.`,
      );
    try {
      if (!read) await file.create();
      else if (!(await this.#aside.swap(ledgerName, file, read))) throw changedMeanwhile();
      await syncFolder(this.#places.library);
    } catch (error) {
      throw error instanceof AlreadyThere ? changedMeanwhile() : error;
    } finally {
      await file.discard();
    }
  }

  /** Path in the bin, without ending. */
  #binned(name: string): string {
    return join(this.#places.bin, binNameOf(name, new Date()));
  }
}

function nextOf(ledger: Ledger, changes: Parameters<typeof changedLedger>[1]): Ledger {
  try {
    return changedLedger(ledger, changes, new Date().toISOString());
  } catch (error) {
    if (error instanceof LedgerConflict) {
      throw new Refusal(409, error.message, { id: error.id, latest: error.latest });
    }
    throw error instanceof RangeError ? new Refusal(409, error.message) : error;
  }
}

async function checked<Value>(status: number, what: string, check: () => Value): Promise<Value> {
  try {
    return check();
  } catch (error) {
    throw error instanceof Refusal ? error : new Refusal(status, `${what}: ${messageOf(error)}`);
  }
}
