import { DiskRefusal, isFull } from "./diskTrouble.ts";
import {
  clearTemporary,
  FolderError,
  type FolderPlaces,
  lookAtPlaces,
  prepareFolder,
  remakePlaces,
} from "./folder.ts";
import { type FolderLock, takeLock } from "./lock.ts";
import { Refusal } from "./refusal.ts";

/** Asked before anything is done in the folder. */
export interface FolderReadiness {
  /** @throws Refusal when the folder is gone, or holds links where none may be */
  toRead(): Promise<void>;
  /** Makes again what is missing; throws as `toRead`, and when another server works on the folder by now. */
  toWrite(): Promise<void>;
}

/** The readiness of a folder that nobody else uses. */
export function readinessOf(places: FolderPlaces): FolderReadiness {
  return {
    toRead: async () => void (await lookAtPlaces(places)),
    toWrite: () => remakePlaces(places),
  };
}

/**
 * Holds a notebook folder for one server, over everything that may happen to the folder meanwhile: it is taken away and
 * comes back, its hidden part is deleted, its disk is full from the start. Without room for the lock the folder is only
 * read, until there is room.
 */
export class FolderKeeper implements FolderReadiness {
  readonly places: FolderPlaces;
  #lock: FolderLock | undefined;
  #address: string | undefined;
  #checking: Promise<void> | undefined;

  private constructor(places: FolderPlaces) {
    this.places = places;
  }

  /**
   * Takes a folder into use.
   *
   * @throws FolderError when the folder cannot be used or another server uses it
   */
  static async open(folder: string): Promise<FolderKeeper> {
    const keeper = new FolderKeeper(await prepareFolder(folder));
    try {
      keeper.#lock = await takeLock(keeper.places.lock);
      await clearTemporary(keeper.places);
    } catch (error) {
      if (!isFull(error)) throw error;
    }
    return keeper;
  }

  /** Whether the folder is only read, because its disk was full. */
  get isOnlyRead(): boolean {
    return this.#lock === undefined;
  }

  async toRead(): Promise<void> {
    await lookAtPlaces(this.places);
  }

  /** One check serves all who ask while it goes on. */
  toWrite(): Promise<void> {
    this.#checking ??= this.#check().finally(() => (this.#checking = undefined));
    return this.#checking;
  }

  /** Tells later starters where this server can be reached. */
  async setAddress(address: string): Promise<void> {
    this.#address = address;
    await this.#lock?.setAddress(address).catch((error) => {
      if (!isFull(error)) throw error; // the lock holds without it
    });
  }

  async release(): Promise<void> {
    await this.#lock?.release();
  }

  async #check(): Promise<void> {
    try {
      await remakePlaces(this.places);
      if (await this.#lock?.isHeld()) return;
      this.#lock = undefined;
      this.#lock = await takeLock(this.places.lock);
      await clearTemporary(this.places);
      if (this.#address !== undefined) await this.setAddress(this.#address);
    } catch (error) {
      if (error instanceof Refusal) throw error;
      const nothing = { words: "Nothing was changed.", done: false };
      if (error instanceof FolderError && !isFull(error))
        throw new Refusal(503, `${error.message} Nothing was changed.`, {
          reason: "folder-taken",
          done: false,
        });
      throw new DiskRefusal(error, nothing);
    }
  }
}
